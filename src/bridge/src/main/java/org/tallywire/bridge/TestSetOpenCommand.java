package org.tallywire.bridge;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.ChecklistFile;
import org.tallywire.format.Job;
import org.tallywire.format.JobFile;
import org.tallywire.format.SetupException;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.Terms;
import org.tallywire.testset.TestSetEvent;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire test-set open}. */
@Command(
    name = "open",
    description = {
      "Opens a test set: readings of its stations are booked to it once the list for before is"
          + " answered (tallywire test-set answer).",
      "The job comes from tallywire plan NAMEPLATE --job FILE --station NAME."
    },
    mixinStandardHelpOptions = true)
final class TestSetOpenCommand implements Callable<Integer> {

  private static final String NONE = "none";

  @Mixin private BridgeArgument bridge = new BridgeArgument();

  @Parameters(index = "1", paramLabel = "JOB", description = "the job file")
  private Path file = Path.of("");

  @Option(names = "--by", required = true, paramLabel = "NAME", description = "who opens it")
  private String by = "";

  @Option(names = "--id", paramLabel = "ID", description = "of the test set (default: the job's)")
  private @Nullable String id;

  @Option(
      names = "--order",
      paramLabel = "WORD",
      description =
          "labels (default): a reading is of the step that the instrument names; plan: one that"
              + " names none is of the step that comes next, as tallywire test-set show --follow"
              + " tells it")
  private String order = Terms.Order.LABELS.word();

  @Option(
      names = "--checklist",
      paramLabel = "NAME|FILE",
      description =
          "a shipped list or a file, in place of the three shipped ones; may be given again; none"
              + " for no list at all")
  private List<String> checklists = ChecklistFile.SHIPPED;

  @Option(
      names = "--say",
      paramLabel = "WORD=TEXT",
      description = "what the record shall say beside, as customer=…, order=…, place=…")
  private Map<String, String> particulars = new LinkedHashMap<>();

  @Override
  public Integer call() throws Exception {
    Job job = JobFile.read(file);
    TestSetEvent.Opened opened =
        (id == null ? job : job.named(id)).opened(Leaving.now(), by, terms());
    return bridge.leave(
        Drafts.of(opened),
        "Test set %s is open: %s, %d steps. Next: %s"
            .formatted(
                opened.testSet(),
                opened.asset(),
                opened.plan().steps().size(),
                opened.terms().checklist(Checklist.Moment.BEFORE).isPresent()
                    ? "tallywire test-set answer %s %s before --by \"%s\""
                        .formatted(bridge.given(), opened.testSet(), by)
                    : "tallywire test-set show %s %s --follow"
                        .formatted(bridge.given(), opened.testSet())));
  }

  private Terms terms() throws SetupException {
    List<String> problems = new ArrayList<>();
    List<Checklist> lists = new ArrayList<>();
    if (!checklists.equals(List.of(NONE))) {
      for (String name : checklists) {
        lists.add(ChecklistFile.named(name, Path.of("")));
      }
    }
    Terms.Order how =
        Terms.Order.of(order)
            .orElseGet(
                () -> {
                  problems.add("--order %s: it is labels or plan".formatted(order));
                  return Terms.Order.LABELS;
                });
    if (!problems.isEmpty()) {
      throw new SetupException(problems);
    }
    try {
      return new Terms(how, lists, particulars);
    } catch (IllegalArgumentException e) {
      throw new SetupException("--checklist: " + e.getMessage());
    }
  }
}

package org.tallywire.bridge;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.PrintWriter;
import java.nio.charset.Charset;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.SetupException;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.ChecklistAnswer.Answer;
import org.tallywire.testset.ChecklistAnswer.Reply;
import org.tallywire.testset.TestSetEvent;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire test-set answer}. */
@Command(
    name = "answer",
    description = {
      "Answers a list of a test set; without --yes, --no, --not-applicable and --override every item"
          + " is asked, one after the other.",
      "The lists are memory aids. Local law and codes, the rules of the site and the judgement of"
          + " licensed or qualified persons come before them.",
      "Until every item of the list for before is answered with yes or not-applicable, or passed over"
          + " with a reason, no reading is booked."
    },
    mixinStandardHelpOptions = true)
final class TestSetAnswerCommand implements Callable<Integer> {

  @Mixin private TestSetArguments about = new TestSetArguments();

  @Parameters(index = "2", paramLabel = "WHEN", description = "before, during or after")
  private String moment = "";

  @Option(names = "--yes", split = ",", paramLabel = "ITEM", description = "items that are so")
  private List<String> yes = List.of();

  @Option(names = "--no", split = ",", paramLabel = "ITEM", description = "items that are not so")
  private List<String> no = List.of();

  @Option(
      names = "--not-applicable",
      split = ",",
      paramLabel = "ITEM",
      description = "items that this test does not have")
  private List<String> notApplicable = List.of();

  @Option(names = "--remark", paramLabel = "TEXT", description = "goes with each of these answers")
  private String remark = "";

  @Option(
      names = "--override",
      paramLabel = "REASON",
      description = "why work goes on without the answers; the record shows it")
  private @Nullable String override;

  @Override
  public Integer call() throws Exception {
    TestSetEvent.Opened opened = about.opened();
    Checklist.Moment when =
        Checklist.Moment.of(moment)
            .orElseThrow(
                () -> new SetupException("%s: it is before, during or after".formatted(moment)));
    List<Answer> answers = new ArrayList<>();
    add(answers, yes, Reply.YES);
    add(answers, no, Reply.NO);
    add(answers, notApplicable, Reply.NOT_APPLICABLE);
    if (answers.isEmpty() && override == null) {
      Checklist list =
          opened
              .terms()
              .checklist(when)
              .orElseThrow(
                  () ->
                      new SetupException(
                          "test set %s has no list for %s".formatted(about.id(), moment)));
      answers = ask(list, about.out());
    }
    ChecklistAnswer answer =
        new ChecklistAnswer(
            about.id(),
            opened.station(),
            Leaving.now(),
            about.by(),
            when,
            answers,
            Optional.ofNullable(override));
    long open = answers.stream().filter(one -> one.reply() == Reply.NO).count();
    return about.leave(
        Drafts.of(answer),
        "Recorded for %s: %d answers%s.%s"
            .formatted(
                about.by(),
                answers.size(),
                open == 0 ? "" : ", %d of them no".formatted(open),
                override == null ? "" : " The list is passed over: " + override));
  }

  private void add(List<Answer> answers, List<String> items, Reply reply) {
    items.forEach(item -> answers.add(new Answer(item, reply, remark)));
  }

  private static List<Answer> ask(Checklist list, PrintWriter out)
      throws SetupException, IOException {
    BufferedReader in =
        new BufferedReader(new InputStreamReader(System.in, Charset.defaultCharset()));
    out.printf(
        "%s, %d items. Answer y (yes), n (no) or - (not applicable), then a remark if need be.%n",
        list.name(), list.items().size());
    List<Answer> answers = new ArrayList<>();
    for (Checklist.Item item : list.items()) {
      out.printf("%n%s", PlanText.lines("", "", item.text()));
      out.printf("  (%s)%n", PlanSheet.cited(item.source(), item.certainty()));
      answers.add(ask(in, item, out));
    }
    return answers;
  }

  private static Answer ask(BufferedReader in, Checklist.Item item, PrintWriter out)
      throws SetupException, IOException {
    while (true) {
      out.printf("%s [y/n/-] ", item.id());
      out.flush();
      String line = in.readLine();
      if (line == null) {
        throw new SetupException("the answers ended early; nothing is recorded");
      }
      String[] words = line.strip().split("\\s+", 2);
      Optional<Reply> reply =
          switch (words[0]) {
            case "y", "yes" -> Optional.of(Reply.YES);
            case "n", "no" -> Optional.of(Reply.NO);
            case "-" -> Optional.of(Reply.NOT_APPLICABLE);
            default -> Optional.empty();
          };
      if (reply.isPresent()) {
        return new Answer(item.id(), reply.get(), words.length > 1 ? words[1] : "");
      }
    }
  }
}

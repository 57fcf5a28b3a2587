package org.tallywire.bridge;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.PrintWriter;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.Callable;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.acceptance.PlanOptions.ResistanceTaps;
import org.tallywire.acceptance.PlanOptions.TestKind;
import org.tallywire.acceptance.RatioBasis;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.NameplateFile;
import org.tallywire.format.SetupException;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** {@code tallywire plan}: from a nameplate to the steps of a test. */
@Command(
    name = "plan",
    description = {
      "Says what a nameplate states, what is doubtful of it, what to mind, and the steps of the"
          + " test with terminals, expected values and limits. Asks nothing.",
      "With --new it asks for a nameplate, one question after the other, and writes its file."
          + " Nothing is ever written over."
    },
    exitCodeListHeading = "%nExit codes:%n",
    exitCodeList = {
      "0:done, whatever is doubtful of the plate",
      "2:a file cannot be used or is there already, the command line is wrong, or the questions ended early"
    },
    mixinStandardHelpOptions = true)
final class PlanCommand implements Callable<Integer> {

  @Spec private @Nullable CommandSpec spec;

  @Parameters(arity = "0..1", paramLabel = "NAMEPLATE", description = "the nameplate file, YAML")
  private @Nullable Path nameplate;

  @Option(
      names = "--new",
      paramLabel = "FILE",
      description = "ask for a nameplate and write it to this file, .yaml; it must not exist")
  private @Nullable Path fresh;

  @Option(
      names = "--criteria",
      paramLabel = "TABLE",
      description = "a shipped profile or a file (default ${DEFAULT-VALUE})")
  private String criteria = CriteriaFile.DEFAULT;

  @Option(
      names = "--tests",
      split = ",",
      paramLabel = "TEST",
      description =
          "of turns-ratio, winding-resistance, insulation-resistance, short-circuit-impedance;"
              + " the first two unless said")
  private List<String> tests = List.of();

  @Option(
      names = "--ratio-basis",
      paramLabel = "WORD",
      description = "terminals, winding or line (default ${DEFAULT-VALUE})")
  private String basis = RatioBasis.TERMINALS.word();

  @Option(
      names = "--resistance-taps",
      paramLabel = "WORD",
      description = "principal or every (default ${DEFAULT-VALUE})")
  private String taps = ResistanceTaps.PRINCIPAL.word();

  @Option(names = "--leads", description = "show, too, where every clip goes, drawn in characters")
  private boolean leads;

  @Option(
      names = "--job",
      paramLabel = "FILE",
      description = "write the job for the test set, .yaml; needs --station")
  private @Nullable Path job;

  @Option(
      names = "--id",
      paramLabel = "ID",
      description = "id of the test set in the job (default: the asset's number)")
  private String id = "";

  @Option(
      names = "--station",
      paramLabel = "NAME",
      description = "a station that feeds the test set; may be given again")
  private List<String> stations = List.of();

  @Option(
      names = "--drawings",
      paramLabel = "FOLDER",
      description = "write a drawing of the leads of every phase there, .svg")
  private @Nullable Path drawings;

  @Option(
      names = "--html",
      paramLabel = "FILE",
      description = "write all of it, with the drawings, as one page")
  private @Nullable Path html;

  @Override
  public Integer call() throws Exception {
    PrintWriter out = Objects.requireNonNull(spec).commandLine().getOut();
    if (fresh != null) {
      if (nameplate != null || job != null || drawings != null || html != null) {
        throw new SetupException(
            "--new goes alone: it writes the nameplate; plan it with tallywire plan " + fresh);
      }
      return ask(fresh, out);
    }
    if (nameplate == null) {
      throw new SetupException("name a nameplate file, or have one written with --new FILE.yaml");
    }
    plan(nameplate, out);
    return Tallywire.OK;
  }

  private static int ask(Path file, PrintWriter out) throws SetupException, IOException {
    if (!String.valueOf(file.getFileName()).matches(".*\\.ya?ml")) {
      throw new SetupException("%s: a nameplate file's name ends in .yaml".formatted(file));
    }
    refuseIfThere(file);
    BufferedReader in =
        new BufferedReader(new InputStreamReader(System.in, Charset.defaultCharset()));
    Optional<String> written = new NameplateQuestions(in, out, file.toString()).ask();
    if (written.isEmpty()) {
      out.printf("Nothing is written.%n");
      out.flush();
      return Tallywire.SETUP;
    }
    write(file, written.get());
    out.printf("%s is written. Now: tallywire plan %s%n", file, file);
    out.flush();
    return Tallywire.OK;
  }

  private void plan(Path file, PrintWriter out) throws SetupException, IOException {
    Nameplate plate = NameplateFile.read(file);
    PlanOptions options = options();
    TestPlan plan = TestPlan.of(plate, options);
    PlanSheet sheet = PlanSheet.of(plate, plan, CriteriaFile.named(criteria, Path.of("")));
    Map<Path, String> files = new LinkedHashMap<>();
    if (job != null) {
      files.put(job, new JobText(file, criteria, options, idOf(plate), stations).write(job));
    }
    if (drawings != null) {
      Path folder = drawings;
      sheet
          .sketches()
          .forEach((name, sketch) -> files.put(folder.resolve(name + ".svg"), sketch.svg()));
    }
    if (html != null) {
      files.put(html, new PlanPage(sheet).write());
    }
    for (Path one : files.keySet()) {
      refuseIfThere(one);
    }
    out.print(new PlanText(sheet).write(leads));
    if (!leads) {
      out.printf("%n  Where every clip goes is drawn with --leads, --drawings or --html.%n");
    }
    if (drawings != null) {
      Files.createDirectories(drawings);
    }
    for (Map.Entry<Path, String> one : files.entrySet()) {
      write(one.getKey(), one.getValue());
      out.printf("  %s is written.%n", one.getKey());
    }
    out.flush();
  }

  private PlanOptions options() throws SetupException {
    List<String> problems = new ArrayList<>();
    Set<TestKind> kinds = EnumSet.noneOf(TestKind.class);
    for (String word : tests) {
      TestKind.of(word)
          .ifPresentOrElse(
              kinds::add,
              () ->
                  problems.add(
                      "--tests: \"%s\" is none of %s"
                          .formatted(word, String.join(", ", TestKind.words()))));
    }
    Optional<RatioBasis> ratio = RatioBasis.of(basis);
    if (ratio.isEmpty()) {
      problems.add("--ratio-basis: \"%s\" is not terminals, winding or line".formatted(basis));
    }
    Optional<ResistanceTaps> resistance = ResistanceTaps.of(taps);
    if (resistance.isEmpty()) {
      problems.add("--resistance-taps: \"%s\" is not principal or every".formatted(taps));
    }
    if (job != null && stations.isEmpty()) {
      problems.add("--job needs the station that feeds the test set: --station NAME");
    }
    if (job == null && (!stations.isEmpty() || !id.isEmpty())) {
      problems.add("--station and --id go with --job FILE");
    }
    if (!problems.isEmpty()) {
      throw new SetupException(problems);
    }
    return new PlanOptions(
        kinds.isEmpty() ? PlanOptions.USUAL.tests() : kinds,
        ratio.orElseThrow(),
        resistance.orElseThrow());
  }

  private String idOf(Nameplate plate) {
    return id.isEmpty() ? plate.asset().replaceAll("[^A-Za-z0-9_-]+", "-") : id;
  }

  private static void refuseIfThere(Path file) throws SetupException {
    if (Files.exists(file)) {
      throw new SetupException("%s is there already; nothing is written over it".formatted(file));
    }
  }

  private static void write(Path file, String text) throws SetupException {
    try {
      NewFile.<IOException>write(file, out -> out.write(text.getBytes(StandardCharsets.UTF_8)));
    } catch (IOException e) {
      throw new SetupException("%s cannot be written: %s".formatted(file, e));
    }
  }

  /**
   * A job as YAML.
   *
   * @param criteria as named on the command line
   */
  record JobText(
      Path nameplate, String criteria, PlanOptions options, String id, List<String> stations) {

    String write(Path job) throws SetupException {
      List<String> wrong =
          Stream.concat(Stream.of(id), stations.stream())
              .filter(name -> !name.matches("[A-Za-z0-9_-]{1,64}"))
              .map(name -> "\"%s\" is not 1 to 64 of A-Z a-z 0-9 _ -".formatted(name))
              .toList();
      if (!wrong.isEmpty()) {
        throw new SetupException(wrong);
      }
      return "id: %s\nnameplate: %s\nstations: [%s]\ncriteria: %s\ntests: [%s]\nratio-basis: %s\nresistance-taps: %s\n"
          .formatted(
              quoted(id),
              quoted(from(job, nameplate)),
              stations.stream().map(JobText::quoted).collect(Collectors.joining(", ")),
              quoted(Files.exists(Path.of(criteria)) ? from(job, Path.of(criteria)) : criteria),
              options.tests().stream().map(TestKind::word).collect(Collectors.joining(", ")),
              options.basis().word(),
              options.resistanceTaps().word());
    }

    /** Returns a path as it is from the folder of the job. */
    private static String from(Path job, Path file) {
      Path folder = job.toAbsolutePath().normalize().getParent();
      Path whole = file.toAbsolutePath().normalize();
      return (folder == null ? whole : folder.relativize(whole)).toString();
    }

    private static String quoted(String text) {
      return "\"" + text.replace("\\", "\\\\").replace("\"", "\\\"") + "\"";
    }
  }
}

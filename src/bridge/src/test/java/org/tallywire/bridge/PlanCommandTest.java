package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.io.PrintWriter;
import java.io.StringReader;
import java.io.StringWriter;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Stream;
import javax.xml.parsers.DocumentBuilderFactory;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.acceptance.PlanOptions.ResistanceTaps;
import org.tallywire.acceptance.PlanOptions.TestKind;
import org.tallywire.acceptance.RatioBasis;
import org.tallywire.acceptance.TapChanger;
import org.tallywire.format.Job;
import org.tallywire.format.JobFile;
import org.tallywire.format.NameplateFile;
import picocli.CommandLine;

class PlanCommandTest {

  private static final String PLATE =
      """
      asset: HL-0231 <b>
      group: Dyn11
      rated-power: 500
      hv-voltage: 11000
      lv-voltage: 433
      frequency: 50
      hv-current: 45.45
      taps:
        - {position: 1, voltage: 11550}
        - {position: 2, voltage: 11000}
        - {position: 3, voltage: 10450}
      principal-tap: 2
      hv-conductor: copper
      lv-conductor: copper
      impedance-percent: 4
      """;

  /** Two tap changers, one answer refused, one step back; then what is usual. */
  private static final String ANSWERS =
      """
      HL-0231
      Dyn12
      Dyn11
      500
      1100
      <
      11000
      433

      26.2
      -
      2




      11550 11275 11000 10725
      11550 11275 11000 10725 10450


      5
      3
      11275 11137.5 11000 10862.5 10725

      aluminium

      4
      """;

  @TempDir private Path folder;

  private final StringWriter out = new StringWriter();
  private final StringWriter err = new StringWriter();

  private int run(Object... arguments) {
    CommandLine line = Tallywire.commandLine();
    line.setOut(new PrintWriter(out));
    line.setErr(new PrintWriter(err));
    int code = line.execute(Stream.of(arguments).map(Object::toString).toArray(String[]::new));
    line.getErr().flush();
    return code;
  }

  private Path plate() throws IOException {
    return Files.writeString(folder.resolve("plate.yaml"), PLATE);
  }

  // 500 kVA make 26.2432 A, and 45.45 is √3 of it; 44.0013 ± 0.4 % (a tenth of 4 %)
  @Test
  @DisplayName("Plate, doubts, cautions and steps with terminals, expectation and limits")
  void says() throws Exception {
    assertEquals(0, run("plan", plate(), "--criteria", "iec-60076-1", "--leads"));
    String text = out.toString();
    for (String part :
        List.of(
            "Dyn11",
            "PLAUSIBILITY: 1 to answer before a lead is connected",
            "Local law",
            "turns-ratio/HV-LV/A/2  1U-1V / 2u-2n  44.0013 (limit ±0.4 %",
            "so 43.8253 to 44.1773",
            "winding-resistance/LV/C  2w-2n",
            "demagnetise the core",
            "[E+] exciting +   on 1U   (H1)")) {
      assertTrue(text.contains(part), () -> part + " is not in\n" + text);
    }
    assertTrue(text.indexOf("turns-ratio/HV-LV") < text.indexOf("winding-resistance/HV"));
  }

  @Test
  @DisplayName("The job it writes is read back as asked for, from another folder too")
  void job() throws Exception {
    Path job = Files.createDirectory(folder.resolve("jobs")).resolve("job.yaml");
    assertEquals(
        0,
        run(
            "plan",
            plate(),
            "--job",
            job,
            "--station",
            "bay-1",
            "--station",
            "bay-2",
            "--tests",
            "turns-ratio,winding-resistance,insulation-resistance",
            "--ratio-basis",
            "line",
            "--resistance-taps",
            "every",
            "--criteria",
            "iec-60076-1"));
    Job read = JobFile.read(job);
    assertEquals("HL-0231-b-", read.id());
    assertEquals(NameplateFile.read(plate()), read.nameplate());
    assertEquals(List.of("bay-1", "bay-2"), read.stations());
    assertEquals("iec-60076-1", read.criteria().name());
    assertEquals(
        new PlanOptions(
            Set.of(
                TestKind.TURNS_RATIO, TestKind.WINDING_RESISTANCE, TestKind.INSULATION_RESISTANCE),
            RatioBasis.LINE,
            ResistanceTaps.EVERY),
        read.options());
  }

  @Test
  @DisplayName("A criteria file is named in the job as it is seen from the job's folder")
  void criteriaFile() throws Exception {
    Path own = folder.resolve("own.json");
    Files.copy(Path.of("../../shared/criteria/iec-60076-1.json"), own);
    Path job = Files.createDirectory(folder.resolve("jobs")).resolve("job.yaml");
    assertEquals(0, run("plan", plate(), "--job", job, "--station", "bay-1", "--criteria", own));
    assertEquals("iec-60076-1", JobFile.read(job).criteria().name());
    assertTrue(Files.readString(job).contains("criteria: \"../own.json\""), job::toString);
  }

  @Test
  @DisplayName("Page and drawings are well formed, and what the plate says is escaped")
  void drawn() throws Exception {
    Path page = folder.resolve("plan.html");
    Path drawings = folder.resolve("drawings");
    assertEquals(0, run("plan", plate(), "--html", page, "--drawings", drawings));
    String html = Files.readString(page);
    assertFalse(html.contains("<b>") || html.contains("<script"), html);
    assertTrue(html.contains("HL-0231 &lt;b&gt;"));
    DocumentBuilderFactory factory = DocumentBuilderFactory.newInstance();
    factory
        .newDocumentBuilder()
        .parse(
            new ByteArrayInputStream(
                html.replace("<!doctype html>", "").getBytes(StandardCharsets.UTF_8)));
    try (Stream<Path> files = Files.list(drawings)) {
      assertEquals(9, files.count());
    }
    assertTrue(Files.readString(drawings.resolve("ratio-C.svg")).contains("data-terminal=\"2w\""));
  }

  @Test
  @DisplayName("Nothing is written over, and nothing at all if one of the files is there")
  void neverOver() throws Exception {
    Path there = Files.writeString(folder.resolve("there.html"), "mine");
    Path job = folder.resolve("job.yaml");
    assertEquals(2, run("plan", plate(), "--html", there, "--job", job, "--station", "bay-1"));
    assertEquals("mine", Files.readString(there));
    assertFalse(Files.exists(job));
    assertTrue(err.toString().contains("there.html is there already"), err::toString);
    assertEquals(2, run("plan", "--new", plate()));
    assertEquals(PLATE, Files.readString(plate()));
  }

  @Test
  @DisplayName("What cannot be is said all at once")
  void wrong() throws Exception {
    assertEquals(
        2,
        run(
            "plan",
            plate(),
            "--tests",
            "noise",
            "--ratio-basis",
            "up",
            "--resistance-taps",
            "all",
            "--job",
            folder.resolve("j.yaml")));
    for (String word : List.of("noise", "\"up\"", "\"all\"", "--station")) {
      assertTrue(err.toString().contains(word), err::toString);
    }
    assertEquals(2, run("plan"));
    assertEquals(2, run("plan", plate(), "--new", folder.resolve("n.yaml")));
    assertEquals(2, run("plan", plate(), "--job", folder.resolve("j.yaml"), "--station", "bay 1"));
    assertFalse(Files.exists(folder.resolve("j.yaml")));
  }

  private Optional<String> asked(String answers) throws Exception {
    return new NameplateQuestions(
            new BufferedReader(new StringReader(answers)), new PrintWriter(out), "new.yaml")
        .ask();
  }

  @Test
  @DisplayName("Answers become a nameplate file; each is checked at once, and < goes back")
  void questions() throws Exception {
    String rest = "\n\n\n\nyes\n";
    String text = asked(ANSWERS + rest).orElseThrow(() -> new AssertionError(out.toString()));
    Nameplate plate = NameplateFile.read(Files.writeString(folder.resolve("new.yaml"), text));
    assertEquals("HL-0231", plate.asset());
    assertEquals(new BigDecimal("11000"), plate.hvVoltage());
    assertEquals(Optional.of(new BigDecimal("26.2")), plate.hvCurrent());
    assertEquals(Optional.empty(), plate.lvCurrent());
    assertEquals(
        List.of(TapChanger.Kind.DE_ENERGISED, TapChanger.Kind.ON_LOAD),
        plate.tapChangers().stream().map(TapChanger::kind).toList());
    assertEquals(5, plate.tapChangers().get(1).taps().size());
    assertEquals(Optional.of(new BigDecimal("4")), plate.impedancePercent());
    for (String said :
        List.of(
            "\"Dyn12\" is not understood",
            "hv-voltage [1100]: ",
            "These are 4 voltages, and there are 5 positions.",
            "\n 1 of 16  The owner's number",
            "PLAUSIBILITY: ")) {
      assertTrue(out.toString().contains(said), () -> said + " is not in\n" + out);
    }
  }

  @Test
  @DisplayName("What stands in brackets alone makes a likely plate; single-phase has no core asked")
  void presets() throws Exception {
    String text = asked("T-1\nIi0\n50\n7200\n240\n60\n\n\n0\n\n\n\n\n\n\nyes\n").orElseThrow();
    Nameplate plate = NameplateFile.read(Files.writeString(folder.resolve("one.yaml"), text));
    assertEquals(1, plate.tapChangers().get(0).taps().size());
    assertTrue(out.toString().contains("nothing unusual was found"), out::toString);
    assertFalse(text.contains("core"), text);
  }

  @Test
  @DisplayName("The whole way back and forth again keeps what was said")
  void backAndForth() throws Exception {
    String back = "<\n".repeat(16);
    String text =
        asked(
                "T-1\nIi0\n50\n7200\n240\n60\n\n\n0\n\n\n\n\n\n\n"
                    + back
                    + "T-2\n"
                    + "\n".repeat(14)
                    + "yes\n")
            .orElseThrow(() -> new AssertionError(out.toString()));
    assertTrue(text.startsWith("asset: \"T-2\"\ngroup: Ii0\nrated-power: 50\n"), text);
  }

  @Test
  @DisplayName("Answers that end early, or a no, make no file")
  void ended() throws Exception {
    assertEquals(Optional.empty(), asked("HL\n"));
    assertEquals(
        Optional.empty(), asked("T-1\nIi0\n50\n7200\n240\n60\n\n\n0\n\n\n\n\n\n\nperhaps\nno\n"));
    assertTrue(out.toString().contains("Say yes, no or <."), out::toString);
  }
}

package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.StringReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import java.util.zip.ZipEntry;
import java.util.zip.ZipFile;
import javax.xml.parsers.DocumentBuilderFactory;
import org.apache.commons.csv.CSVFormat;
import org.apache.commons.csv.CSVRecord;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.w3c.dom.Element;
import org.w3c.dom.NodeList;

/** CSV and spreadsheets, read back by programs that are not ours. */
class TablesTest {

  private static final List<Table.Column> COLUMNS =
      List.of(
          new Table.Column("name", false),
          new Table.Column("value", true),
          new Table.Column("text", false));

  /**
   * What reaches a cell from a wire, a file or a person (reference: OWASP ASVS 1.2.10, CWE-1236).
   */
  private static final List<String> ATTACKS =
      List.of("=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "\0=1", "'=1", "-", "=");

  @TempDir private Path folder;

  @Test
  @DisplayName(
      "RFC 4180, section 2: CRLF, quotes round a comma, a line end or a quote, quotes doubled")
  void rfc4180() throws Exception {
    String csv = csv(',', List.of(List.of("aaa", "1.50", "b\r\nbb"), List.of("a,b", "", "b\"bb")));
    assertEquals("name,value,text\r\naaa,1.50,\"b\r\nbb\"\r\n\"a,b\",,\"b\"\"bb\"\r\n", csv);
  }

  @Test
  @DisplayName(
      "No cell is a formula; a number keeps its sign and digits; one apostrophe off gives all back")
  void formulas() throws Exception {
    for (String attack : ATTACKS) {
      String safe = CsvTable.safe(attack);
      assertEquals("'" + attack, safe);
    }
    for (String number : List.of("-5.20", "-0.0005", "0", "44.0100", "-1", "1e5", "007")) {
      assertEquals(number, CsvTable.safe(number));
    }
    assertEquals("'+1", CsvTable.safe("+1"), "no number here has a plus sign");
    assertEquals("", CsvTable.safe(""));
    assertEquals("Ω=1", CsvTable.safe("Ω=1"));
  }

  @ParameterizedTest
  @ValueSource(chars = {',', ';', '\t'})
  @DisplayName("Whatever is written comes back through another reader, in whichever separator")
  void roundTrip(char separator) throws Exception {
    List<List<String>> rows = rows(300);
    List<List<String>> back = new ArrayList<>();
    CSVFormat format =
        CSVFormat.RFC4180.builder().setDelimiter(separator).setIgnoreEmptyLines(false).get();
    for (CSVRecord record : format.parse(new StringReader(csv(separator, rows)))) {
      back.add(record.stream().map(TablesTest::withoutApostrophe).toList());
    }
    back.remove(0);
    assertEquals(rows, back);
    List<List<String>> ours =
        CsvRows.read("x", csv(separator, rows), separator).stream()
            .skip(1)
            .map(row -> row.cells().stream().map(TablesTest::withoutApostrophe).toList())
            .toList();
    assertEquals(rows, ours, "and through our own");
  }

  @Test
  @DisplayName("Python's csv reads the same cells")
  void python() throws Exception {
    Path python = onPath("python3");
    List<List<String>> rows = rows(100);
    Files.write(folder.resolve("t.csv"), csv(',', rows).getBytes(StandardCharsets.UTF_8));
    Process process =
        new ProcessBuilder(
                python.toString(),
                "-c",
                """
                import csv
                for r in csv.reader(open('t.csv', encoding='utf-8', newline=''), strict=True):
                    print('|'.join(c.encode('utf-8').hex() for c in r))
                """)
            .directory(folder.toFile())
            .redirectErrorStream(true)
            .start();
    String out = new String(process.getInputStream().readAllBytes(), StandardCharsets.US_ASCII);
    assertTrue(process.waitFor(1, TimeUnit.MINUTES));
    List<List<String>> back =
        out.lines()
            .skip(1)
            .map(l -> Stream.of(l.split("\\|", -1)).map(h -> withoutApostrophe(unhex(h))).toList())
            .toList();
    assertEquals(rows, back, out);
  }

  @Test
  @DisplayName(
      "A spreadsheet: numbers as numbers, every digit as text, no formula, well-formed XML")
  void xlsx() throws Exception {
    List<List<String>> rows = new ArrayList<>();
    rows.add(List.of("a", "0.10000000000000000001", "=1+1"));
    rows.add(List.of("b", "-5.20", "\u0001 \u001b[2J & < > \" \uD83D\uDE02 \uFFFF"));
    rows.add(List.of("c", "over-range", ""));
    Map<String, byte[]> parts = parts(xlsx(rows, 1000));
    Element sheet = xml(parts.get("xl/worksheets/sheet1.xml"));
    assertEquals(0, sheet.getElementsByTagName("f").getLength(), "no formula");
    Map<String, String> cells = cells(sheet);
    assertEquals("name", cells.get("A1"));
    assertEquals("value (every digit)", cells.get("D1"));
    assertEquals("number 0.1", cells.get("B2"));
    assertEquals("0.10000000000000000001", cells.get("D2"));
    assertEquals("=1+1", cells.get("C2"), "as text");
    assertEquals("number -5.2", cells.get("B3"));
    assertEquals("-5.20", cells.get("D3"));
    assertEquals("\\x01 \\x1B[2J & < > \" \uD83D\uDE02 \\uFFFF", cells.get("C3"));
    assertFalse(cells.containsKey("B4"), "a word is no number");
    assertEquals("over-range", cells.get("D4"));
  }

  @Test
  @DisplayName("A full sheet is followed by another with the same head")
  void sheets() throws Exception {
    List<List<String>> rows = new ArrayList<>();
    for (int i = 0; i < 1500; i++) {
      rows.add(List.of("r" + i, Integer.toString(i), ""));
    }
    Map<String, byte[]> parts = parts(xlsx(rows, 1001));
    assertEquals("r999", cells(xml(parts.get("xl/worksheets/sheet1.xml"))).get("A1001"));
    Map<String, String> second = cells(xml(parts.get("xl/worksheets/sheet2.xml")));
    assertEquals("name", second.get("A1"));
    assertEquals("r1000", second.get("A2"));
    assertEquals("r1499", second.get("A501"));
    assertTrue(new String(parts.get("xl/workbook.xml"), StandardCharsets.UTF_8).contains("t 2"));
  }

  private static List<List<String>> rows(int count) {
    long seed = Long.getLong("tallywire.seed", System.nanoTime());
    System.out.println("TablesTest: seed " + seed);
    Random random = new Random(seed);
    List<String> pieces = new ArrayList<>(ATTACKS);
    pieces.addAll(List.of(",", ";", "\"", "\"\"", "\r\n", "\n", "\t", " ", "a", "µΩ", "漢", "'"));
    List<List<String>> rows = new ArrayList<>();
    for (int i = 0; i < count; i++) {
      List<String> row = new ArrayList<>(List.of("r" + i));
      for (int c = 1; c < 3; c++) {
        StringBuilder cell = new StringBuilder();
        for (int n = random.nextInt(5); n > 0; n--) {
          cell.append(pieces.get(random.nextInt(pieces.size())));
        }
        row.add(cell.toString());
      }
      rows.add(row);
    }
    return rows;
  }

  private static String withoutApostrophe(String cell) {
    return cell.startsWith("'") ? cell.substring(1) : cell;
  }

  private static String csv(char separator, List<List<String>> rows) throws IOException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    try (CsvTable table = new CsvTable(out, separator, COLUMNS)) {
      for (List<String> row : rows) {
        table.row(row);
      }
    }
    return out.toString(StandardCharsets.UTF_8);
  }

  private static byte[] xlsx(List<List<String>> rows, int most) throws IOException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    try (XlsxTable table = new XlsxTable(out, "t", COLUMNS, most)) {
      for (List<String> row : rows) {
        table.row(row);
      }
    }
    return out.toByteArray();
  }

  /** By the directory of the file, as spreadsheets do. */
  private Map<String, byte[]> parts(byte[] zip) throws IOException {
    Path file = Files.write(folder.resolve("t.xlsx"), zip);
    Map<String, byte[]> parts = new LinkedHashMap<>();
    try (ZipFile in = new ZipFile(file.toFile())) {
      for (ZipEntry entry : in.stream().toList()) {
        parts.put(entry.getName(), in.getInputStream(entry).readAllBytes());
      }
    }
    return parts;
  }

  private static Element xml(byte[] part) throws Exception {
    return DocumentBuilderFactory.newInstance()
        .newDocumentBuilder()
        .parse(new ByteArrayInputStream(part))
        .getDocumentElement();
  }

  private static Map<String, String> cells(Element sheet) {
    Map<String, String> cells = new LinkedHashMap<>();
    NodeList list = sheet.getElementsByTagName("c");
    for (int i = 0; i < list.getLength(); i++) {
      Element cell = (Element) list.item(i);
      boolean text = cell.getAttribute("t").equals("inlineStr");
      if (!cell.getTextContent().isEmpty()) {
        cells.put(cell.getAttribute("r"), (text ? "" : "number ") + cell.getTextContent());
      }
    }
    return cells;
  }

  private static String unhex(String hex) {
    return new String(java.util.HexFormat.of().parseHex(hex), StandardCharsets.UTF_8);
  }

  static Path onPath(String program) {
    for (String folder : System.getenv("PATH").split(":", -1)) {
      if (Files.isExecutable(Path.of(folder, program))) {
        return Path.of(folder, program);
      }
    }
    Assumptions.assumeTrue("true".equals(System.getenv("CI")), program + " is not installed");
    throw new AssertionError(program + " is not installed, and CI=true");
  }
}

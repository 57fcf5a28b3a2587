package org.tallywire.report;

import com.openhtmltopdf.outputdevice.helper.BaseRendererBuilder.FontStyle;
import com.openhtmltopdf.pdfboxout.PDFontSupplier;
import com.openhtmltopdf.pdfboxout.PdfBoxRenderer;
import com.openhtmltopdf.pdfboxout.PdfRendererBuilder;
import com.openhtmltopdf.pdfboxout.PdfRendererBuilder.PdfAConformance;
import com.openhtmltopdf.util.XRLog;
import java.awt.color.ColorSpace;
import java.awt.color.ICC_Profile;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.security.GeneralSecurityException;
import java.security.KeyPair;
import java.time.Instant;
import java.util.Calendar;
import java.util.Date;
import java.util.Map;
import java.util.Optional;
import java.util.TimeZone;
import org.apache.fontbox.ttf.CmapLookup;
import org.apache.fontbox.ttf.TTFParser;
import org.apache.fontbox.ttf.TrueTypeFont;
import org.apache.pdfbox.cos.COSArray;
import org.apache.pdfbox.cos.COSName;
import org.apache.pdfbox.io.RandomAccessReadBuffer;
import org.apache.pdfbox.pdfwriter.compress.CompressParameters;
import org.apache.pdfbox.pdmodel.PDDocument;
import org.apache.pdfbox.pdmodel.PDDocumentNameDictionary;
import org.apache.pdfbox.pdmodel.PDEmbeddedFilesNameTreeNode;
import org.apache.pdfbox.pdmodel.common.filespecification.PDComplexFileSpecification;
import org.apache.pdfbox.pdmodel.common.filespecification.PDEmbeddedFile;
import org.apache.pdfbox.pdmodel.font.PDFont;
import org.apache.pdfbox.pdmodel.font.PDType0Font;

/**
 * Makes a PDF (PDF/A-3, level u) of a record's page, with its fonts, with the records themselves as
 * the attachment {@code records.jsonl}, and sealed. Stateless, for any thread.
 */
public final class PdfReport {

  static final String RECORDS = "records.jsonl";

  private static final String FAMILY = "DejaVu Sans Condensed";
  private static final String FONTS = "/net/sf/jasperreports/fonts/dejavu/DejaVuSansCondensed";
  private static final int REGULAR = 400;
  private static final int BOLD = 700;

  private PdfReport() {}

  /**
   * Returns the PDF.
   *
   * @param page of {@link HtmlReport}
   * @param records the lines to attach, as {@link EntryLines} writes them
   * @param key to sign the seal with
   * @throws IOException if the page cannot be laid out
   * @throws GeneralSecurityException if the key is not an Ed25519 key
   */
  public static byte[] of(
      String page, byte[] records, Optional<KeyPair> key, Instant made, String program)
      throws IOException, GeneralSecurityException {
    XRLog.setLoggingEnabled(false);
    try (PDDocument document = new PDDocument()) {
      return PdfSeal.fill(laidOut(document, page, records, key, made, program), key);
    }
  }

  private static byte[] laidOut(
      PDDocument document,
      String page,
      byte[] records,
      Optional<KeyPair> key,
      Instant made,
      String program)
      throws IOException {
    PdfRendererBuilder builder = new PdfRendererBuilder();
    builder.usePDDocument(document);
    builder.useFont(
        new PDFontSupplier(font(document, ".ttf")), FAMILY, REGULAR, FontStyle.NORMAL, true);
    builder.useFont(
        new PDFontSupplier(font(document, "-Bold.ttf")), FAMILY, BOLD, FontStyle.NORMAL, true);
    builder.usePdfAConformance(PdfAConformance.PDFA_3_U);
    builder.useColorProfile(ICC_Profile.getInstance(ColorSpace.CS_sRGB).getData());
    builder.withProducer(program);
    builder.withHtmlContent(printable(page), null);
    builder.useProtocolsStreamImplementation(
        uri -> {
          throw new IllegalStateException("a record loads nothing, not " + uri);
        },
        "http",
        "https",
        "file",
        "jar");
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    try (PdfBoxRenderer renderer = builder.buildPdfRenderer()) {
      renderer.createPDFKeepOpen();
      attach(document, records, made);
      document.getDocumentInformation().setCustomMetadataValue("Seal", PdfSeal.blank(key));
      // the seal must stand in the file as it is, so the objects are not packed
      document.save(out, CompressParameters.NO_COMPRESSION);
    }
    return out.toByteArray();
  }

  /** Without ligatures: who copies a digest out of the PDF wants its letters. */
  private static PDFont font(PDDocument document, String ending) throws IOException {
    try (InputStream in = font(ending)) {
      TrueTypeFont font = new TTFParser().parse(new RandomAccessReadBuffer(in));
      font.setEnableGsub(false);
      return PDType0Font.load(document, font, true);
    }
  }

  private static InputStream font(String ending) {
    InputStream font = PdfReport.class.getResourceAsStream(FONTS + ending);
    if (font == null) {
      throw new IllegalStateException("the font %s%s is not in the jar".formatted(FONTS, ending));
    }
    return font;
  }

  private static void attach(PDDocument document, byte[] records, Instant made) throws IOException {
    Calendar at = Calendar.getInstance(TimeZone.getTimeZone("UTC"));
    at.setTime(Date.from(made));
    PDEmbeddedFile file =
        new PDEmbeddedFile(document, new ByteArrayInputStream(records), COSName.FLATE_DECODE);
    file.setSubtype("application/jsonl");
    file.setSize(records.length);
    file.setModDate(at);
    PDComplexFileSpecification specification = new PDComplexFileSpecification();
    specification.setFile(RECORDS);
    specification.setFileUnicode(RECORDS);
    specification.setFileDescription("The entries of the journal that this record rests on");
    specification.setEmbeddedFile(file);
    specification.setEmbeddedFileUnicode(file);
    specification
        .getCOSObject()
        .setItem(COSName.getPDFName("AFRelationship"), COSName.getPDFName("Data"));
    PDEmbeddedFilesNameTreeNode tree = new PDEmbeddedFilesNameTreeNode();
    tree.setNames(Map.of(RECORDS, specification));
    PDDocumentNameDictionary names = new PDDocumentNameDictionary(document.getDocumentCatalog());
    names.setEmbeddedFiles(tree);
    document.getDocumentCatalog().setNames(names);
    COSArray associated = new COSArray();
    associated.add(specification);
    document.getDocumentCatalog().getCOSObject().setItem(COSName.getPDFName("AF"), associated);
  }

  /** Writes characters that the font lacks as their number, so that none is lost unseen. */
  private static String printable(String page) throws IOException {
    try (InputStream in = font(".ttf");
        TrueTypeFont font = new TTFParser().parse(new RandomAccessReadBuffer(in))) {
      CmapLookup glyphs = font.getUnicodeCmapLookup();
      StringBuilder shown = new StringBuilder(page.length());
      page.codePoints()
          .forEach(
              c -> {
                if (c < ' ' || glyphs.getGlyphId(c) != 0) {
                  shown.appendCodePoint(c);
                } else {
                  shown.append("[U+%04X]".formatted(c));
                }
              });
      return shown.toString();
    }
  }
}

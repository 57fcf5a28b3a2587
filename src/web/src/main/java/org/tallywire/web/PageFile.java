package org.tallywire.web;

import io.javalin.http.Context;
import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.util.List;
import java.util.stream.Stream;

/**
 * A file of the page, read once from the jar; no request can name another.
 *
 * @param path as requested
 * @param type media type
 * @param content the file
 */
@SuppressWarnings("ArrayRecordComponent") // never compared
record PageFile(String path, String type, byte[] content) {

  private static final List<String> SCRIPTS =
      List.of(
          "page",
          "stream",
          "records",
          "testset",
          "stations",
          "delivery",
          "detail",
          "loose",
          "words",
          "dom");

  static List<PageFile> all() {
    return Stream.concat(
            Stream.of(
                load("/", "page.html", "text/html; charset=utf-8"),
                load("/page.css", "page.css", "text/css; charset=utf-8")),
            SCRIPTS.stream()
                .map(
                    name ->
                        load("/" + name + ".js", name + ".js", "text/javascript; charset=utf-8")))
        .toList();
  }

  void send(Context context) {
    context.contentType(type).result(content);
  }

  private static PageFile load(String path, String name, String type) {
    try (InputStream in = PageFile.class.getResourceAsStream(name)) {
      if (in == null) {
        throw new IllegalStateException("the jar lacks the page's file " + name);
      }
      return new PageFile(path, type, in.readAllBytes());
    } catch (IOException e) {
      throw new UncheckedIOException("could not read the page's file " + name, e);
    }
  }
}

package org.tallywire.web;

import io.javalin.http.Context;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * What every request must satisfy before anything is looked up: a reading method, a Host of this
 * machine (against DNS rebinding), no foreign Origin; and the headers every answer carries.
 */
final class Gate {

  private static final Pattern HOST =
      Pattern.compile(
          "(localhost|127\\.0\\.0\\.1|\\[::1])(:[0-9]{1,5})?", Pattern.CASE_INSENSITIVE);

  private static final String CONTENT_POLICY =
      "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self';"
          + " img-src 'self' data:; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";

  private Gate() {}

  static void check(Context context) {
    context.header("Content-Security-Policy", CONTENT_POLICY);
    context.header("X-Content-Type-Options", "nosniff");
    context.header("Referrer-Policy", "no-referrer");
    context.header("Cache-Control", "no-cache");
    String method = context.req().getMethod();
    String host = context.req().getHeader("Host");
    if (!method.equals("GET") && !method.equals("HEAD")) {
      context.header("Allow", "GET, HEAD");
      refuse(context, 405, "This page only watches: it answers GET and HEAD, not " + quote(method));
    } else if (host == null || !HOST.matcher(host).matches()) {
      refuse(
          context,
          421,
          "The request names the host "
              + quote(host)
              + "; this page answers only to localhost, 127.0.0.1 and [::1]. Open it by one of"
              + " these names");
    } else if (foreign(context, host)) {
      refuse(
          context,
          403,
          "The request comes from another web site ("
              + quote(context.req().getHeader("Origin"))
              + "); this page answers only to itself. Open its address in the browser directly");
    }
  }

  private static boolean foreign(Context context, String host) {
    String origin = context.req().getHeader("Origin");
    if (origin != null && !origin.equalsIgnoreCase("http://" + host)) {
      return true;
    }
    // A browser sends no Origin with a no-cors GET, by which a foreign site could use up all
    // streams; it does send this.
    String site = context.req().getHeader("Sec-Fetch-Site");
    return context.path().equals("/events")
        && site != null
        && !site.equals("same-origin")
        && !site.equals("none");
  }

  /** Answers with a sentence and leaves every later step out. */
  static void refuse(Context context, int status, String sentence) {
    context.status(status).contentType("text/plain; charset=utf-8").result(sentence + ".\n");
    context.skipRemainingHandlers();
  }

  private static String quote(@Nullable String text) {
    if (text == null) {
      return "(none)";
    }
    String plain = text.replaceAll("[^ -~]", "?");
    return "\"" + (plain.length() > 80 ? plain.substring(0, 80) + "..." : plain) + "\"";
  }
}

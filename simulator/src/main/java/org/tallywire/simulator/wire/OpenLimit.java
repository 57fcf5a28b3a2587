package org.tallywire.simulator.wire;

import com.sun.management.UnixOperatingSystemMXBean;
import java.io.IOException;
import java.io.InputStream;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;

/**
 * Says which limit of the system is reached, or would be, when wires are opened, and what to do.
 *
 * <p>Error numbers as in {@code errno.h} of Linux and macOS. The virtual machine raises the soft
 * limit of open files to the hard one by itself, so the hard one is what is reached.
 */
public final class OpenLimit {

  static final int ENFILE = 23;
  static final int EMFILE = 24;
  static final int ENOSPC = 28;

  private static final Path MOST_TERMINALS = Path.of("/proc/sys/kernel/pty/max");

  private static final int MOST_DIGITS = 32;

  /** As the C library says it, for failures that carry no error number. */
  private static final String EMFILE_WORDS = "Too many open files";

  private OpenLimit() {}

  /**
   * Refuses instruments that would run out of open files. Ask before the first wire is opened: what
   * asks for the limit could not be loaded any more when files have run out.
   *
   * @param each how many files an instrument keeps open
   * @param others how many files everything else in this process needs
   */
  public static void require(int instruments, int each, int others) throws OpenLimitException {
    long limit = limit();
    long needed = (long) instruments * each + others;
    if (needed <= limit) {
      return;
    }
    throw new OpenLimitException(
        ("nothing is started: %d instrument%s at %d files each and %d for the program need %d open"
                + " files, and this process may have only %d (its hard limit); raise it"
                + " (\"ulimit -n %d\" as root, \"nofile\" in limits.conf, LimitNOFILE= of a systemd"
                + " unit)%s")
            .formatted(
                instruments,
                instruments == 1 ? "" : "s",
                each,
                others,
                needed,
                limit,
                needed,
                fewer((limit - others) / each)));
  }

  private static String fewer(long most) {
    return most < 1 ? "" : " or start %d instruments at most".formatted(most);
  }

  /**
   * Returns the advice for an error number of the system, empty if it is about no limit.
   *
   * @param each how many files a wire keeps open
   */
  static String advice(int error, int each) {
    return switch (error) {
      case EMFILE ->
          ("; this process may have only %s files open and has come to that limit, and each"
                  + " instrument takes %d: raise it (\"ulimit -Hn\" as root, \"nofile\" in"
                  + " limits.conf, LimitNOFILE= of a systemd unit) or start fewer instruments")
              .formatted(mostFiles(), each);
      case ENFILE ->
          "; the whole system has come to its limit of open files: raise fs.file-max with sysctl,"
              + " or start fewer instruments";
      case ENOSPC ->
          ("; the system has no more pseudo-terminals than %s: raise kernel.pty.max with sysctl, or"
                  + " start fewer instruments")
              .formatted(mostTerminals());
      default -> "";
    };
  }

  /** Returns the advice for a failure, empty if it is about no limit. */
  static String advice(IOException failed, int each) {
    String words = String.valueOf(failed.getMessage());
    return words.contains(EMFILE_WORDS) ? advice(EMFILE, each) : "";
  }

  private static String mostFiles() {
    long limit = limit();
    return limit == Long.MAX_VALUE ? "so many" : Long.toString(limit);
  }

  /** Returns how many files this process may have open; the greatest number where none says. */
  private static long limit() {
    return ManagementFactory.getOperatingSystemMXBean() instanceof UnixOperatingSystemMXBean unix
            && unix.getMaxFileDescriptorCount() > 0
        ? unix.getMaxFileDescriptorCount()
        : Long.MAX_VALUE;
  }

  /** Reads it at once: such a file of Linux says nothing more to a second read. */
  private static String mostTerminals() {
    try (InputStream in = Files.newInputStream(MOST_TERMINALS)) {
      byte[] digits = new byte[MOST_DIGITS];
      int count = Math.max(0, in.read(digits));
      return new String(digits, 0, count, StandardCharsets.US_ASCII).strip();
    } catch (IOException unknown) {
      return "it has now";
    }
  }
}

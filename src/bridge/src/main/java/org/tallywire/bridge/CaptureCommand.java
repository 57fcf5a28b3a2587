package org.tallywire.bridge;

import java.io.IOException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.link.Capture;
import org.tallywire.link.CaptureEvent;
import org.tallywire.link.CaptureWriter;
import org.tallywire.link.Links;
import org.tallywire.link.VisibleBytes;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire capture}: what goes over a port, into a file that can be played. */
@Command(
    name = "capture",
    description = {
      "Records what an instrument sends into a file, with its timing, until Ctrl-C; the file can be"
          + " read, changed and played (shared/capture.md).",
      "It only listens, unless --send is given. A capture holds serial numbers and readings: look"
          + " through it before you give it away."
    },
    exitCodeListHeading = "%nExit codes:%n",
    exitCodeList = {
      "0:recorded until it was to end",
      "2:nothing was recorded: the port cannot be opened, the file is there already, or the command"
          + " line is wrong",
      "3:the link was lost before; what came until then is in the file"
    },
    mixinStandardHelpOptions = true)
final class CaptureCommand implements Callable<Integer> {

  private static final Duration SLICE = Duration.ofMillis(100);
  private static final Duration LONGEST_END = Duration.ofSeconds(4);

  @Mixin private LinkArguments arguments = new LinkArguments();

  @Parameters(paramLabel = "FILE", description = "the file to make; it must not exist")
  private Path file = Path.of("");

  @Option(
      names = "--for",
      paramLabel = "TIME",
      description = "end after so long, as '10 s' or 10 (until Ctrl-C if left out)")
  private Optional<String> limit = Optional.empty();

  @Option(
      names = "--send",
      paramLabel = "TEXT",
      description = {
        "send this once at the beginning, with \\r, \\n, \\t, \\\\ and \\xHH, as in '*IDN?\\n'.",
        "CAUTION: it is sent whatever the instrument does then. Look up in its manual that it asks,"
            + " and does not start a measurement or energise a lead."
      })
  private String send = "";

  @Option(
      names = "--every",
      paramLabel = "TIME",
      description = "send it again so often, as '2 s' or 2; 100 ms or more")
  private Optional<String> every = Optional.empty();

  private long came;
  private long sent;

  @Override
  public Integer call() throws Exception {
    LinkAddress address = arguments.address();
    byte[] question = question();
    arguments.require(
        every.isEmpty() || question.length > 0, "--every: only with --send, which says what");
    limit.ifPresent(text -> arguments.time("--for", text));
    every.ifPresent(this::pause);
    Path scratch = Scratch.forThisRun("tallywire-capture");
    try (Links links = new Links(scratch)) {
      return record(address, links, question);
    } catch (FileAlreadyExistsException e) {
      return refused(file + " is there already; nothing is written over it");
    } catch (LinkException e) {
      return refused(String.valueOf(e.getMessage()));
    } catch (IOException e) {
      return refused("%s cannot be written: %s".formatted(file, e.getMessage()));
    } catch (LinkageError e) {
      return refused("the serial library cannot be loaded: " + e.getMessage());
    }
  }

  private Duration pause(String text) {
    return arguments.time("--every", text, SLICE, Duration.ofDays(1));
  }

  private byte[] question() {
    try {
      return VisibleBytes.parse(send);
    } catch (IllegalArgumentException e) {
      arguments.require(false, "--send: " + e.getMessage());
      return new byte[0];
    }
  }

  private static int refused(String sentence) {
    System.err.println(Visible.text(sentence));
    return Tallywire.SETUP;
  }

  /** Opens the link first, so that no empty file is left where it cannot be opened. */
  private int record(LinkAddress address, Links links, byte[] question) throws IOException {
    if (Files.exists(file, LinkOption.NOFOLLOW_LINKS)) {
      throw new FileAlreadyExistsException(file.toString());
    }
    TimeSource time = TimeSource.system();
    // closed last: the process waits until file and port are
    try (CtrlC ctrlC = new CtrlC(LONGEST_END);
        Link opened = links.open(address);
        CaptureWriter writer = CaptureWriter.create(file, address, time.now());
        Capture link = new Capture(opened, writer, time, this::show)) {
      ctrlC.listen(links, address, () -> {}, "stopped; the file may lack its last line");
      System.out.printf(
          "Recording %s into %s%s%n",
          Visible.text(address.toString()), file, limit.isEmpty() ? "; Ctrl-C ends it" : "");
      long begun = time.nanos();
      int exit = listen(link, ctrlC, question, time);
      writer.remark(Duration.ofNanos(time.nanos() - begun), "ended");
      System.out.printf("%d bytes came, %d were sent; they are in %s%n", came, sent, file);
      System.out.flush();
      return exit;
    }
  }

  private int listen(Link link, CtrlC ctrlC, byte[] question, TimeSource time) {
    Duration longest = limit.map(text -> arguments.time("--for", text)).orElse(Duration.ZERO);
    long end = time.nanos() + longest.toNanos();
    Duration pause = every.map(this::pause).orElse(Duration.ZERO);
    long next = time.nanos();
    boolean asking = question.length > 0;
    byte[] buffer = new byte[4096];
    try {
      link.settle();
      while (!ctrlC.came() && (limit.isEmpty() || time.nanos() - end < 0)) {
        if (asking && time.nanos() - next >= 0) {
          link.write(question);
          next += pause.toNanos();
          asking = !pause.isZero();
        }
        link.read(buffer, SLICE);
      }
      return Tallywire.OK;
    } catch (LinkException e) {
      System.err.println(Visible.text(String.valueOf(e.getMessage())));
      return Tallywire.NOT_AS_IT_SHOULD_BE;
    }
  }

  private void show(CaptureEvent event) {
    if (event.direction() == CaptureEvent.Direction.CAME) {
      came += event.bytes().length;
    } else {
      sent += event.bytes().length;
    }
    CaptureWriter.lines(event).forEach(System.out::println);
  }
}

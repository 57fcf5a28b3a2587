package org.tallywire.bridge;

import java.math.BigDecimal;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.tallywire.api.Decimals;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.link.Links;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;

/** {@code tallywire driver try}: a driver and a meter, live. */
@Command(
    name = "try",
    description = {
      "Runs a driver on a meter and shows side by side what goes over the line and what the driver"
          + " makes of it, until Ctrl-C. Nothing is recorded or published.",
      "Queries are sent; what the driver declares as measure is shown and not sent. Speed and the"
          + " like are the driver's unless they are given here."
    },
    exitCodeListHeading = "%nExit codes:%n",
    exitCodeList = {
      "0:it ended and there were readings",
      "2:nothing was tried: the file or the command line is wrong, or the port cannot be opened",
      "3:no reading came"
    },
    mixinStandardHelpOptions = true)
final class DriverTryCommand implements Callable<Integer> {

  private static final Duration LONGEST_END = Duration.ofSeconds(4);

  @Mixin private DriverArguments driver = new DriverArguments();
  @Mixin private LinkArguments link = new LinkArguments();

  @Option(
      names = "--driver",
      paramLabel = "NAME",
      description = "which one, if the jar has several")
  private String name = "";

  @Option(
      names = "--replay",
      paramLabel = "FILE",
      description = "plays a capture instead of a port; ends with it")
  private Optional<Path> replay = Optional.empty();

  @Option(
      names = "--pace",
      paramLabel = "N",
      description = "how many times faster the capture is played; 0: at once (default 1)")
  private String pace = "1";

  @Option(
      names = "--for",
      paramLabel = "TIME",
      description = "end after so long, as '10 s' or 10 (until Ctrl-C if left out)")
  private Optional<String> limit = Optional.empty();

  @Override
  public Integer call() throws Exception {
    Driver chosen = chosen(driver.drivers());
    LinkAddress address = address(chosen.description());
    Optional<Duration> longest = limit.map(text -> link.time("--for", text));
    Path scratch = Scratch.forThisRun("tallywire-try");
    // closed last: the process waits until the summary is told and the port closed
    try (CtrlC ctrlC = new CtrlC(LONGEST_END);
        Links links = new Links(scratch)) {
      TimeSource time = TimeSource.system();
      TryView view = TryView.of(System.out, time);
      DriverTry run = new DriverTry(chosen, address, links::open, time, view);
      ctrlC.listen(links, address, run::wake, "stopped; the summary could not be made in time");
      System.out.printf(
          "%s on %s%s%n",
          Visible.text(chosen.description().nameAndVersion()),
          Visible.text(address.toString()),
          longest.isEmpty() && replay.isEmpty() ? "; Ctrl-C ends it" : "");
      view.heading();
      boolean opened = run.run(ctrlC::came, longest);
      if (opened) {
        view.summary();
      }
      System.out.flush();
      return !opened
          ? Tallywire.SETUP
          : view.readings() > 0 ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
    } catch (LinkException e) {
      System.err.println(Visible.text(String.valueOf(e.getMessage())));
      return Tallywire.SETUP;
    } catch (LinkageError e) {
      System.err.println(Visible.text("the serial library cannot be loaded: " + e.getMessage()));
      return Tallywire.SETUP;
    }
  }

  private Driver chosen(List<Driver> drivers) {
    List<Driver> some =
        drivers.stream()
            .filter(d -> name.isEmpty() || d.description().name().equals(name))
            .toList();
    link.require(
        some.size() == 1,
        "--driver: say which of them: "
            + String.join(", ", drivers.stream().map(d -> d.description().name()).toList()));
    return some.get(0);
  }

  private LinkAddress address(DriverDescription description) {
    if (replay.isEmpty()) {
      return link.address(description.serial(), description.lines());
    }
    link.require(link.isEmpty(), "--replay, or --port or --program, not both");
    Optional<BigDecimal> times = Decimals.parse(pace).filter(n -> n.signum() >= 0);
    link.require(times.isPresent(), "--pace: \"%s\" is no number of 0 or more".formatted(pace));
    return new LinkAddress.Recording(replay.get(), times.orElseThrow());
  }
}

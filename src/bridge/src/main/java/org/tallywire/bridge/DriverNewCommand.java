package org.tallywire.bridge;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
@Command(name = "new")
final class DriverNewCommand implements Callable<Integer> {
  @Override
  public Integer call() { return 0; }
}

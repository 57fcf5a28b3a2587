package org.tallywire.line;

import java.util.List;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.Example;
import org.tallywire.api.Framer;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;

/** The Tallywire line protocol, version 1.1, bridge side. */
public final class LineDriver implements Driver {

  @Override
  public DriverDescription description() {
    return new DriverDescription(
            "line", "1.1", "instruments that speak the Tallywire line protocol", 115_200)
        .withMemory(DriverDescription.Memory.KEEPS)
        .withCheck();
  }

  @Override
  public Framer newFramer() {
    return new LineFramer();
  }

  @Override
  public Session open(SessionHost host) {
    return new LineSession(host);
  }

  @Override
  public List<Example> examples() {
    return LineExamples.all();
  }
}

package org.tallywire.declared;

import org.junit.jupiter.api.Nested;
import org.tallywire.api.Driver;
import org.tallywire.kit.DriverConformance;

/** The kit's rules against each shipped file: it plays the file's examples. */
final class DeclaredConformanceTest {

  abstract static class OfFile extends DriverConformance {

    private final Driver driver;

    OfFile(String name) {
      try {
        driver = ShippedFilesTest.driver(name);
      } catch (DeclarationException e) {
        throw new AssertionError(e);
      }
    }

    @Override
    protected Driver driver() {
      return driver;
    }
  }

  @Nested
  class TalkOnly extends OfFile {
    TalkOnly() {
      super("bench-ohmmeter");
    }
  }

  @Nested
  class QueryAndAnswer extends OfFile {
    QueryAndAnswer() {
      super("query-ratiometer");
    }
  }

  @Nested
  class Block extends OfFile {
    Block() {
      super("block-impedance");
    }
  }

  @Nested
  class Printout extends OfFile {
    Printout() {
      super("printout-megohmmeter");
    }
  }

  @Nested
  class SharedLine extends OfFile {
    SharedLine() {
      super("bus-thermometer");
    }
  }

  @Nested
  class Columns extends OfFile {
    Columns() {
      super("talk-only-tester");
    }
  }
}

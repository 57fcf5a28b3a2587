package org.tallywire.declared;

import java.io.ByteArrayOutputStream;
import org.junit.jupiter.api.Nested;
import org.tallywire.api.Driver;
import org.tallywire.api.Example;
import org.tallywire.kit.DriverConformance;

/** The kit's rules against each shipped file: its first example, as the meter sends it. */
final class DeclaredConformanceTest {

  abstract static class OfFile extends DriverConformance {

    private final String name;

    OfFile(String name) {
      this.name = name;
    }

    @Override
    protected Driver driver() {
      try {
        return ShippedFilesTest.driver(name);
      } catch (DeclarationException e) {
        throw new AssertionError(e);
      }
    }

    @Override
    protected byte[] recording() {
      ByteArrayOutputStream all = new ByteArrayOutputStream();
      for (Example.Turn turn : driver().examples().get(0).turns()) {
        all.writeBytes(turn.answer());
      }
      return all.toByteArray();
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

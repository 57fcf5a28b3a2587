package org.tallywire.bridge;

import java.io.IOException;
import java.net.URL;
import java.net.URLClassLoader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.ServiceConfigurationError;
import java.util.ServiceLoader;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverSource;

/**
 * A jar with drivers that somebody else wrote. It has a class loader of its own that sees the JDK
 * and {@code api}, and nothing else of ours. That keeps versions apart and is no sandbox: its code
 * runs with all the rights of this process.
 *
 * @param file the jar
 * @param digest SHA-256 of what was loaded, in hex
 * @param drivers at least one
 */
record DriverJar(Path file, String digest, List<Driver> drivers) {

  private static final long LARGEST = 64L << 20;
  private static final String SERVICE = "META-INF/services/" + DriverSource.class.getName();

  /** A jar cannot be used; the message says why and what to do. */
  static final class Unusable extends Exception {
    Unusable(Path file, String why, Throwable cause) {
      super("%s: %s".formatted(file, why), cause);
    }

    Unusable(Path file, String why) {
      super("%s: %s".formatted(file, why));
    }
  }

  /**
   * A jar as it was read: what is loaded is what the digest is of, whatever happens to the file.
   */
  @SuppressWarnings("ArrayRecordComponent") // loaded, never compared
  record Bytes(Path file, byte[] content, String digest) {

    static Bytes of(Path file) throws Unusable {
      try {
        if (Files.size(file) > LARGEST) {
          throw new Unusable(file, "is larger than %d MiB".formatted(LARGEST >> 20));
        }
        byte[] content = Files.readAllBytes(file);
        byte[] digest = MessageDigest.getInstance("SHA-256").digest(content);
        return new Bytes(file, content, HexFormat.of().formatHex(digest));
      } catch (IOException e) {
        throw new Unusable(file, "cannot be read: " + e, e);
      } catch (NoSuchAlgorithmException e) {
        throw new IllegalStateException(e); // every Java has it
      }
    }

    /** Loads the drivers; their code runs from here on. */
    DriverJar load() throws Unusable {
      try {
        Path copy = privateCopy();
        URLClassLoader loader =
            new URLClassLoader("driver", new URL[] {copy.toUri().toURL()}, new ApiAlone());
        if (loader.findResource(SERVICE) == null) {
          loader.close();
          throw new Unusable(
              file, "has no %s that names its %s".formatted(SERVICE, DriverSource.class.getName()));
        }
        List<Driver> drivers = new ArrayList<>();
        for (DriverSource source : ServiceLoader.load(DriverSource.class, loader)) {
          for (Driver driver : source.drivers()) {
            driver.description().nameAndVersion(); // so that one without is refused here
            drivers.add(driver);
          }
        }
        if (drivers.isEmpty()) {
          throw new Unusable(file, "offers no driver");
        }
        return new DriverJar(file, digest, List.copyOf(drivers));
      } catch (IOException e) {
        throw new Unusable(file, "cannot be loaded: " + e, e);
      } catch (ServiceConfigurationError | LinkageError | RuntimeException e) {
        throw new Unusable(file, reason(e), e);
      }
    }

    private Path privateCopy() throws IOException {
      Path folder = Files.createTempDirectory("tallywire-driver-");
      Path copy = folder.resolve("driver.jar");
      Files.write(copy, content);
      folder.toFile().deleteOnExit();
      copy.toFile().deleteOnExit();
      return copy;
    }
  }

  private static String reason(Throwable e) {
    for (Throwable cause = e; cause != null; cause = cause.getCause()) {
      if (cause instanceof UnsupportedClassVersionError) {
        return "is compiled for a newer Java than this one: %s".formatted(cause.getMessage());
      }
      if (cause instanceof NoClassDefFoundError || cause instanceof ClassNotFoundException) {
        return "needs a class that is not there: %s. A driver sees the JDK and org.tallywire.api; put whatever else it uses into its jar"
            .formatted(cause.getMessage());
      }
    }
    return "its drivers cannot be made: " + e;
  }

  /** Shows the JDK and {@code api}; the names in a service file of ours stay unseen as well. */
  private static final class ApiAlone extends ClassLoader {

    private static final String API = Driver.class.getPackageName() + ".";

    ApiAlone() {
      super("api", ClassLoader.getPlatformClassLoader());
    }

    @Override
    protected Class<?> findClass(String name) throws ClassNotFoundException {
      if (name.startsWith(API)) {
        return Class.forName(name, false, Driver.class.getClassLoader());
      }
      throw new ClassNotFoundException(name);
    }
  }
}

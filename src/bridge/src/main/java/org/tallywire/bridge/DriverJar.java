package org.tallywire.bridge;

import java.io.IOException;
import java.net.URL;
import java.net.URLClassLoader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.ServiceConfigurationError;
import java.util.ServiceLoader;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverSource;

/**
 * A jar with drivers that somebody else wrote. It has a class loader of its own that sees the JDK
 * and {@code api}, and nothing else of ours. That keeps versions apart and is no sandbox: its code
 * runs with all the rights of this process.
 */
final class DriverJar {

  private static final String SERVICE = "META-INF/services/" + DriverSource.class.getName();

  private DriverJar() {}

  /**
   * Returns the drivers of what was read from a jar, at least one; their code runs from here on.
   */
  static List<Driver> load(Path file, byte[] content) throws DriverFile.Unusable {
    try {
      Path copy = privateCopy(content);
      URLClassLoader loader =
          new URLClassLoader("driver", new URL[] {copy.toUri().toURL()}, new ApiAlone());
      if (loader.findResource(SERVICE) == null) {
        loader.close();
        throw new DriverFile.Unusable(
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
        throw new DriverFile.Unusable(file, "offers no driver");
      }
      return List.copyOf(drivers);
    } catch (IOException e) {
      throw new DriverFile.Unusable(file, "cannot be loaded: " + e, e);
    } catch (ServiceConfigurationError | LinkageError | RuntimeException e) {
      throw new DriverFile.Unusable(file, reason(e), e);
    }
  }

  private static Path privateCopy(byte[] content) throws IOException {
    Path folder = Files.createTempDirectory("tallywire-driver-");
    Path copy = folder.resolve("driver.jar");
    Files.write(copy, content);
    folder.toFile().deleteOnExit();
    copy.toFile().deleteOnExit();
    return copy;
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

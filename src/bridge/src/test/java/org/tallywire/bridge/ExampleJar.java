package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.OutputStream;
import java.io.StringWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.jar.JarEntry;
import java.util.jar.JarOutputStream;
import java.util.stream.Stream;
import javax.tools.JavaCompiler;
import javax.tools.StandardJavaFileManager;
import javax.tools.ToolProvider;
import org.tallywire.api.Driver;

/** Makes jars of drivers as somebody outside would: compiled against {@code api} alone. */
final class ExampleJar {

  private static final Path EXAMPLE = Path.of("../../drivers/example/src/main");

  private ExampleJar() {}

  /** Compiles {@code drivers/example}, all warnings as errors, and puts it into a jar. */
  static Path build(Path folder) throws IOException {
    return build(folder, EXAMPLE.resolve("java"), EXAMPLE.resolve("resources"), "example-1.0.jar");
  }

  /** Likewise any sources and resources. */
  static Path build(Path folder, Path sources, Path resources, String name) throws IOException {
    Path classes = Files.createDirectories(folder.resolve("classes-of-" + name));
    compile(files(sources).filter(file -> file.toString().endsWith(".java")).toList(), classes);
    Path jar = folder.resolve(name);
    try (OutputStream out = Files.newOutputStream(jar);
        JarOutputStream entries = new JarOutputStream(out)) {
      for (Path root : List.of(classes, resources)) {
        for (Path file : files(root).toList()) {
          entries.putNextEntry(
              new JarEntry(
                  root.relativize(file).toString().replace(java.io.File.separatorChar, '/')));
          Files.copy(file, entries);
          entries.closeEntry();
        }
      }
    }
    return jar;
  }

  private static void compile(List<Path> sources, Path classes) throws IOException {
    JavaCompiler compiler = ToolProvider.getSystemJavaCompiler();
    StringWriter said = new StringWriter();
    try (StandardJavaFileManager manager = compiler.getStandardFileManager(null, null, null)) {
      List<String> options =
          List.of(
              "-classpath",
              Driver.class.getProtectionDomain().getCodeSource().getLocation().getPath(),
              "-d",
              classes.toString(),
              "-proc:none",
              "-Xlint:all,-processing",
              "-Werror");
      boolean compiled =
          compiler
              .getTask(
                  said, manager, null, options, null, manager.getJavaFileObjectsFromPaths(sources))
              .call();
      assertTrue(compiled, said.toString());
    }
  }

  private static Stream<Path> files(Path root) throws IOException {
    try (Stream<Path> all = Files.walk(root)) {
      return all.filter(Files::isRegularFile).sorted().toList().stream();
    }
  }
}

package org.tallywire.bridge;

import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.classes;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static com.tngtech.archunit.library.Architectures.layeredArchitecture;
import static com.tngtech.archunit.library.dependencies.SlicesRuleDefinition.slices;

import com.tngtech.archunit.base.DescribedPredicate;
import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.importer.ImportOption;
import com.tngtech.archunit.junit.AnalyzeClasses;
import com.tngtech.archunit.junit.ArchTest;
import com.tngtech.archunit.lang.ArchRule;
import java.util.List;
import java.util.Set;
import java.util.stream.Stream;

/** Who may import what: the table of DEVELOPERS.md. Think hard before changing a line here. */
@AnalyzeClasses(packages = "org.tallywire", importOptions = ImportOption.DoNotIncludeTests.class)
class LayeringTest {

  private static final String OURS = "org.tallywire.";
  private static final Set<String> NOT_DRIVERS =
      Set.of(
          "api",
          "acceptance",
          "testset",
          "format",
          "link",
          "journal",
          "publish",
          "report",
          "web",
          "kit",
          "conform",
          "bridge",
          "fault",
          "simulator");

  @ArchTest static final ArchRule API = mayImport("api");
  @ArchTest static final ArchRule ACCEPTANCE = mayImport("acceptance", "api");
  @ArchTest static final ArchRule TESTSET = mayImport("testset", "api", "acceptance");
  @ArchTest static final ArchRule FORMAT = mayImport("format", "api", "acceptance", "testset");
  @ArchTest static final ArchRule LINK = mayImport("link", "api");
  @ArchTest static final ArchRule JOURNAL = mayImport("journal", "api");
  @ArchTest static final ArchRule CONFORM = mayImport("conform", "api", "line");
  @ArchTest static final ArchRule PUBLISH = mayImport("publish", "journal", "api");

  @ArchTest
  static final ArchRule WEB = mayImport("web", "journal", "format", "testset", "acceptance", "api");

  @ArchTest
  static final ArchRule REPORT =
      mayImport("report", "journal", "format", "testset", "acceptance", "api");

  /** Every module that has no line of its own here is a driver. */
  @ArchTest
  static final ArchRule DRIVERS =
      noClasses()
          .that(areOfADriver())
          .should()
          .dependOnClassesThat(
              new DescribedPredicate<JavaClass>("are ours, and neither of api nor of a driver") {
                @Override
                public boolean test(JavaClass other) {
                  return !module(other).equals("api") && NOT_DRIVERS.contains(module(other));
                }
              })
          .because("a driver sees api only");

  @ArchTest static final ArchRule KIT = mayImport("kit", "api");
  @ArchTest static final ArchRule SIMULATOR = mayImport("simulator");

  /** Each package of the simulator may use those that stand before it. */
  @ArchTest
  static final ArchRule SIMULATOR_PARTS =
      layeredArchitecture()
          .consideringOnlyDependenciesInLayers()
          .layer("physics")
          .definedBy(OURS + "simulator.physics")
          .layer("scenario")
          .definedBy(OURS + "simulator.scenario")
          .layer("unit")
          .definedBy(OURS + "simulator.unit")
          .layer("tester")
          .definedBy(OURS + "simulator.tester")
          .layer("face")
          .definedBy(OURS + "simulator.face")
          .layer("wire")
          .definedBy(OURS + "simulator.wire")
          .layer("program")
          .definedBy(OURS + "simulator")
          .whereLayer("program")
          .mayNotBeAccessedByAnyLayer()
          .whereLayer("wire")
          .mayOnlyBeAccessedByLayers("program")
          .whereLayer("face")
          .mayOnlyBeAccessedByLayers("program")
          .whereLayer("tester")
          .mayOnlyBeAccessedByLayers("face", "program")
          .whereLayer("unit")
          .mayOnlyBeAccessedByLayers("tester")
          .whereLayer("scenario")
          .mayOnlyBeAccessedByLayers("unit", "tester", "wire", "program")
          .whereLayer("physics")
          .mayOnlyBeAccessedByLayers("scenario", "unit", "tester");

  /** The checks stand on packages of plain arithmetic, each of which may use those before it. */
  @ArchTest
  static final ArchRule ACCEPTANCE_PARTS =
      layeredArchitecture()
          .consideringOnlyDependenciesInLayers()
          .layer("figure")
          .definedBy(OURS + "acceptance.figure")
          .layer("control")
          .definedBy(OURS + "acceptance.control")
          .layer("uncertainty")
          .definedBy(OURS + "acceptance.uncertainty")
          .layer("winding")
          .definedBy(OURS + "acceptance.winding")
          .layer("resistance")
          .definedBy(OURS + "acceptance.resistance")
          .layer("related")
          .definedBy(OURS + "acceptance.related")
          .layer("checks")
          .definedBy(OURS + "acceptance")
          .whereLayer("checks")
          .mayNotBeAccessedByAnyLayer()
          .whereLayer("related")
          .mayOnlyBeAccessedByLayers("checks")
          .whereLayer("resistance")
          .mayOnlyBeAccessedByLayers("related", "checks")
          .whereLayer("winding")
          .mayOnlyBeAccessedByLayers("resistance", "related", "checks")
          .whereLayer("uncertainty")
          .mayOnlyBeAccessedByLayers("winding", "resistance", "related", "checks")
          .whereLayer("control")
          .mayOnlyBeAccessedByLayers("uncertainty", "winding", "resistance", "related", "checks");

  @ArchTest
  static final ArchRule BRIDGE =
      mayImport(
          "bridge",
          "api",
          "acceptance",
          "testset",
          "format",
          "link",
          "journal",
          "publish",
          "report",
          "web",
          "declared",
          "kit",
          "conform");

  @ArchTest
  static final ArchRule NO_CYCLES =
      slices().matching("org.tallywire.(*)..").should().beFreeOfCycles();

  @ArchTest static final ArchRule SERIAL = onlyIn("com.fazecast", "link", "simulator");
  @ArchTest static final ArchRule SQLITE = onlyIn("org.sqlite", "journal");
  @ArchTest static final ArchRule PAHO = onlyIn("org.eclipse.paho", "publish");
  @ArchTest static final ArchRule JAVALIN = onlyIn("io.javalin", "web");
  @ArchTest static final ArchRule BROKER = onlyIn("io.moquette", "bridge");
  @ArchTest static final ArchRule PDF = onlyIn("org.apache.pdfbox", "report");
  @ArchTest static final ArchRule PAGES = onlyIn("com.openhtmltopdf", "report");
  @ArchTest static final ArchRule JACKSON = onlyIn("com.fasterxml.jackson", "format");
  @ArchTest static final ArchRule SPREADSHEETS = onlyIn("org.dhatim", "format");
  @ArchTest static final ArchRule EXPRESSIONS = onlyIn("com.google.re2j", "declared");
  @ArchTest static final ArchRule YAML = onlyIn("org.yaml", "format", "declared", "simulator");

  @ArchTest
  static final ArchRule NUMERICS = onlyIn("org.apache.commons.math3", "acceptance", "simulator");

  @ArchTest static final ArchRule JNA = onlyIn("com.sun.jna", "simulator");

  @ArchTest
  static final ArchRule PURE =
      noClasses()
          .that()
          .resideInAnyPackage(OURS + "acceptance..", OURS + "testset..", OURS + "line..")
          .should()
          .dependOnClassesThat()
          .resideInAnyPackage("java.io..", "java.nio.file..", "java.net..", "org.slf4j..")
          .because("what is computed depends on its inputs alone");

  @ArchTest
  static final ArchRule NAMES =
      noClasses()
          .should()
          .haveNameMatching(".*(Manager|Helper|Util|Utils|Impl|Processor|Service|Data|Info|Base)")
          .because("a name says what a thing is");

  private static DescribedPredicate<JavaClass> areOfADriver() {
    return new DescribedPredicate<JavaClass>("are of a driver") {
      @Override
      public boolean test(JavaClass one) {
        return !module(one).isEmpty() && !NOT_DRIVERS.contains(module(one));
      }
    };
  }

  /** Returns the module of a class of ours, or nothing. */
  private static String module(JavaClass one) {
    return one.getPackageName().startsWith(OURS)
        ? one.getPackageName().substring(OURS.length()).split("\\.", 2)[0]
        : "";
  }

  /** The module may import the named ones of ours, and itself. */
  private static ArchRule mayImport(String module, String... others) {
    List<String> allowed = List.of(others);
    return noClasses()
        .that()
        .resideInAPackage(OURS + module + "..")
        .should()
        .dependOnClassesThat(
            new DescribedPredicate<JavaClass>("are ours and not of " + allowed) {
              @Override
              public boolean test(JavaClass other) {
                String of = module(other);
                return !of.isEmpty() && !of.equals(module) && !allowed.contains(of);
              }
            })
        .because("the table of imports says so");
  }

  /** The library appears in these modules of ours only. */
  private static ArchRule onlyIn(String library, String... modules) {
    return classes()
        .that(
            new DescribedPredicate<JavaClass>("use " + library) {
              @Override
              public boolean test(JavaClass one) {
                return one.getDirectDependenciesFromSelf().stream()
                    .anyMatch(d -> d.getTargetClass().getPackageName().startsWith(library));
              }
            })
        .should()
        .resideInAnyPackage(Stream.of(modules).map(m -> OURS + m + "..").toArray(String[]::new));
  }
}

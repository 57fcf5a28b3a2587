package org.tallywire.bridge;

import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Pattern;
import org.tallywire.format.PublishedForm;
import org.tallywire.format.YamlSection;
import org.tallywire.publish.BrokerAddress;
import org.tallywire.publish.Secret;
import org.tallywire.publish.Tls;

/** Reads the section {@code mqtt} of a configuration file. */
final class BrokerSection {

  private static final String PLAIN_TEXT = "plain-text";
  private static final Pattern ALLOWED = Pattern.compile("allowed");
  private static final Pattern CLIENT_ID = Pattern.compile("[!-~]{1,128}");
  private static final String ADDRESS = "mqtts://host:port or mqtt://host:port";

  private final Path folder;
  private final SecretKeys secrets;
  private final Instant now;
  private final List<String> notices = new ArrayList<>();

  /**
   * @param folder from which paths are taken
   * @param now the time at which certificates must hold
   */
  BrokerSection(Path folder, SecretKeys.Environment environment, Instant now) {
    this.folder = folder;
    this.secrets = new SecretKeys(folder, environment, notices);
    this.now = now;
  }

  /** Reads it; problems are noted in the section. */
  BridgeConfig.Broker read(YamlSection mqtt) {
    String uri = address(mqtt);
    String root =
        mqtt.has("root")
            ? mqtt.text("root", BridgeConfigFile.NAME, BridgeConfigFile.NAME_WORDS)
            : "tallywire";
    Optional<String> clientId =
        mqtt.has("client-id")
            ? Optional.of(mqtt.text("client-id", CLIENT_ID, "1 to 128 printable ASCII characters"))
            : Optional.empty();
    Optional<String> username = mqtt.optionalText("username");
    Optional<Secret> password = secrets.read(mqtt, "password");
    if (username.isEmpty() && secrets.wanted(mqtt, "password")) {
      mqtt.problem(
          mqtt.has("password-file") ? "password-file" : "password-env",
          "needs a username beside it");
    }
    plainText(mqtt, uri);
    Optional<Tls> tls = tls(mqtt, uri);
    Set<String> consumers = consumers(mqtt);
    PublishedForm payload = payload(mqtt);
    mqtt.end();
    return new BridgeConfig.Broker(
        uri, root, clientId, username, password, tls, consumers, payload, List.copyOf(notices));
  }

  private static PublishedForm payload(YamlSection mqtt) {
    return mqtt.has("payload")
        ? mqtt.converted("payload", PublishedForm.WORDS, PublishedForm::of)
            .orElse(PublishedForm.RECORD)
        : PublishedForm.RECORD;
  }

  private static String address(YamlSection mqtt) {
    String text = mqtt.text("broker");
    if (text.contains("@")) { // not shown: what stands before it may be a password
      mqtt.problem(
          "broker",
          "has an @ in it, and is to be %s; user name and password have their own keys"
              .formatted(ADDRESS));
      return "";
    }
    if (text.isEmpty()) {
      return "";
    }
    try {
      BrokerAddress.check(text);
      return text;
    } catch (IllegalArgumentException e) {
      mqtt.problem("broker", "\"%s\" is not %s".formatted(text, ADDRESS));
      return "";
    }
  }

  private void plainText(YamlSection mqtt, String uri) {
    boolean allowed =
        mqtt.has(PLAIN_TEXT) && !mqtt.text(PLAIN_TEXT, ALLOWED, "allowed, or left out").isEmpty();
    if (uri.isEmpty() || !BrokerAddress.plainText(uri) || BrokerAddress.loopback(uri)) {
      return;
    }
    if (allowed) {
      notices.add(
          "Records and the password travel unencrypted to broker %s, and anybody on the way can read and change them (plain-text: allowed)."
              .formatted(uri));
    } else {
      mqtt.problem(
          "broker",
          "\"%s\" is not this machine, and records and the password would travel unencrypted; use mqtts:// and tls, or write plain-text: allowed beside it"
              .formatted(uri));
    }
  }

  private Optional<Tls> tls(YamlSection mqtt, String uri) {
    Optional<YamlSection> section = mqtt.section("tls");
    boolean wanted = !uri.isEmpty() && !BrokerAddress.plainText(uri);
    if (section.isEmpty()) {
      return wanted ? Optional.of(Tls.USUAL) : Optional.empty();
    }
    if (!wanted && !uri.isEmpty()) {
      mqtt.problem("tls", "is for a broker at mqtts://, and this one is at " + uri);
    }
    return section.flatMap(this::tls).filter(tls -> wanted);
  }

  private Optional<Tls> tls(YamlSection section) {
    Optional<Path> authority = section.optionalText("authority").map(folder::resolve);
    Optional<Path> certificate = section.optionalText("certificate").map(folder::resolve);
    Optional<Path> key = section.optionalText("key").map(folder::resolve);
    Optional<Secret> keyPassword = secrets.read(section, "key-password");
    boolean passwordWanted = secrets.wanted(section, "key-password");
    section.end();
    if (certificate.isPresent() != key.isPresent()) {
      section.problem(
          certificate.isPresent() ? "certificate" : "key",
          "stands alone: a certificate and its key come together");
      return Optional.empty();
    }
    if (passwordWanted && key.isEmpty()) {
      section.problem(
          section.has("key-password-file") ? "key-password-file" : "key-password-env",
          "needs a key beside it");
      return Optional.empty();
    }
    key.ifPresent(file -> secrets.warnIfOpen("key", file));
    if (passwordWanted && keyPassword.isEmpty()) {
      return Optional.empty(); // said already; without it the key would only seem wrong
    }
    Tls tls = new Tls(authority, certificate, key, keyPassword);
    for (Tls.Problem problem : tls.problems(now)) {
      section.problem(problem.part().name().toLowerCase(Locale.ROOT), problem.sentence());
    }
    return Optional.of(tls);
  }

  private static Set<String> consumers(YamlSection mqtt) {
    Set<String> consumers = new LinkedHashSet<>();
    if (!mqtt.has("consumers")) {
      return consumers;
    }
    for (String name : mqtt.texts("consumers")) {
      if (!BridgeConfigFile.NAME.matcher(name).matches()) {
        mqtt.problem(
            "consumers",
            "\"%s\" is no name for a consumer: %s".formatted(name, BridgeConfigFile.NAME_WORDS));
      } else if (!consumers.add(name)) {
        mqtt.problem("consumers", "\"%s\" is there twice".formatted(name));
      }
    }
    return consumers;
  }
}

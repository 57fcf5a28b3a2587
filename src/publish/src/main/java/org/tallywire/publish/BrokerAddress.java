package org.tallywire.publish;

import java.net.URI;
import java.util.List;
import java.util.Optional;
import java.util.Set;

/**
 * Where the broker is, who we are to it, and where our topics begin.
 *
 * @param uri {@code mqtt://host:port} or {@code tcp://host:port}, which is the same and plain text;
 *     {@code mqtts://host:port} for TLS
 * @param clientId 1 to 128 printable ASCII characters, of one process only: a broker drops the
 *     older of two connections with one client id (MQTT 3.1.1, MQTT-3.1.4-2)
 * @param username the user's name, if the broker asks for one
 * @param password the user's password; only with a name (MQTT 3.1.1, MQTT-3.1.2-22)
 * @param root the first level of every topic
 * @param site the second level of every topic
 * @param tls how both sides prove who they are; with a uri {@code mqtts:} and only then
 * @param consumers who may confirm records, each by the last level of its topic {@code
 *     <root>/<site>/bridge/confirm/<consumer>}
 */
public record BrokerAddress(
    String uri,
    String clientId,
    Optional<String> username,
    Optional<Secret> password,
    String root,
    String site,
    Optional<Tls> tls,
    Set<String> consumers) {

  private static final String TLS_SCHEME = "mqtts";
  private static final List<String> SCHEMES = List.of("mqtt", "tcp", TLS_SCHEME);
  private static final int HIGHEST_PORT = 65_535;

  /** An address without TLS, of records that nobody confirms. */
  public BrokerAddress(
      String uri,
      String clientId,
      Optional<String> username,
      Optional<Secret> password,
      String root,
      String site) {
    this(uri, clientId, username, password, root, site, Optional.empty(), Set.of());
  }

  public BrokerAddress {
    consumers = Set.copyOf(consumers);
    URI checked = parse(uri);
    if (tls.isPresent() != TLS_SCHEME.equals(checked.getScheme())) {
      throw new IllegalArgumentException(
          "broker address \"%s\": mqtts:// is for TLS, and TLS for mqtts://".formatted(uri));
    }
    if (!clientId.matches("[!-~]{1,128}")) {
      throw new IllegalArgumentException(
          "client id \"%s\" is not 1 to 128 printable ASCII characters".formatted(clientId));
    }
    if (password.isPresent() && username.isEmpty()) {
      throw new IllegalArgumentException(
          "broker %s has a password but no user name; MQTT 3.1.1 does not allow that"
              .formatted(uri));
    }
    requireTopics(root, site);
    consumers.forEach(consumer -> Topics.level("consumer", consumer));
  }

  private static void requireTopics(String root, String site) {
    // refuses levels that can never be part of a topic
    Topics.level("root", root);
    Topics.level("site", site);
  }

  /** Returns the host, without the brackets of an IPv6 address. */
  public String host() {
    String host = URI.create(uri).getHost();
    return host.startsWith("[") ? host.substring(1, host.length() - 1) : host;
  }

  /** Returns the port, 1 to 65535. */
  public int port() {
    return URI.create(uri).getPort();
  }

  /**
   * Checks an address.
   *
   * @throws IllegalArgumentException which says what is wrong with it
   */
  public static void check(String uri) {
    parse(uri);
  }

  /** Returns whether everything travels unencrypted. */
  public static boolean plainText(String uri) {
    return !TLS_SCHEME.equals(parse(uri).getScheme());
  }

  /**
   * Returns whether the host of a checked address is this machine by its very name: {@code
   * localhost} or a loopback address. No name is looked up.
   */
  public static boolean loopback(String uri) {
    String host = parse(uri).getHost();
    return host.equals("localhost")
        || host.matches("127(\\.[0-9]{1,3}){3}")
        || host.equals("[::1]")
        || host.equals("[0:0:0:0:0:0:0:1]");
  }

  /**
   * @throws IllegalArgumentException if it is no broker's address
   */
  private static URI parse(String text) {
    if (text.contains("@")) { // not shown: what stands before it may be a password
      throw new IllegalArgumentException(
          "the broker address has an @ in it; user name and password have their own places");
    }
    String wanted =
        "broker address \"%s\" is not of the form mqtts://host:port or mqtt://host:port"
            .formatted(text);
    URI uri;
    try {
      uri = URI.create(text);
    } catch (IllegalArgumentException e) {
      throw new IllegalArgumentException(wanted + ": " + e.getMessage(), e);
    }
    boolean bare =
        uri.getUserInfo() == null
            && uri.getQuery() == null
            && uri.getFragment() == null
            && (uri.getPath() == null || uri.getPath().isEmpty());
    if (!SCHEMES.contains(uri.getScheme()) || uri.getHost() == null || !bare) {
      throw new IllegalArgumentException(wanted);
    }
    if (uri.getPort() < 1 || uri.getPort() > HIGHEST_PORT) {
      throw new IllegalArgumentException(wanted + ": the port is 1 to 65535");
    }
    return uri;
  }
}

package org.tallywire.bridge;

import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.api.Driver;
import org.tallywire.api.LinkAddress;
import org.tallywire.format.PublishedForm;
import org.tallywire.publish.Secret;
import org.tallywire.publish.Tls;

/**
 * What a bridge is to do, complete and checked.
 *
 * @param site name of the place, a level of every topic
 * @param data folder of the journal and everything else the bridge writes
 * @param keep how long records are kept; empty: for ever
 * @param broker where to publish; empty: nowhere
 * @param page where to serve the live page
 * @param stations one a line to an instrument
 * @param testSets to open at the start, or to go on with
 * @param drivers what was found that did not come with the program, one sentence each
 */
record BridgeConfig(
    String site,
    Path data,
    Optional<Duration> keep,
    Optional<Broker> broker,
    Page page,
    List<Station> stations,
    List<TestSet> testSets,
    List<String> drivers) {

  /**
   * The broker.
   *
   * @param uri {@code mqtts://host:port}, {@code mqtt://host:port} or {@code tcp://host:port}
   * @param root first level of every topic
   * @param clientId ours; if empty, one is made and kept in the data folder
   * @param tls with mqtts, and only then
   * @param consumers who may confirm records; retention waits for them
   * @param payload in which form records are published
   * @param notices what a person should know of these settings, one sentence each
   */
  record Broker(
      String uri,
      String root,
      Optional<String> clientId,
      Optional<String> username,
      Optional<Secret> password,
      Optional<Tls> tls,
      Set<String> consumers,
      PublishedForm payload,
      List<String> notices) {

    /** A broker without TLS, and nobody who confirms. */
    Broker(
        String uri,
        String root,
        Optional<String> clientId,
        Optional<String> username,
        Optional<Secret> password) {
      this(
          uri,
          root,
          clientId,
          username,
          password,
          Optional.empty(),
          Set.of(),
          PublishedForm.RECORD,
          List.of());
    }
  }

  /**
   * The live page.
   *
   * @param host a loopback name or address
   * @param port 0 for any free one
   */
  record Page(String host, int port) {}

  /**
   * A place where one instrument is read.
   *
   * @param instrument the serial number of the only instrument that may be read there, if it is set
   */
  record Station(String name, Driver driver, LinkAddress address, Optional<String> instrument) {

    /** A place where any instrument may be read. */
    Station(String name, Driver driver, LinkAddress address) {
      this(name, driver, address, Optional.empty());
    }
  }

  /**
   * A campaign on one transformer.
   *
   * @param options what its plan is to hold
   */
  record TestSet(
      String id,
      Nameplate nameplate,
      CriteriaTable criteria,
      List<String> stations,
      PlanOptions options) {

    /** A campaign with the usual plan. */
    TestSet(String id, Nameplate nameplate, CriteriaTable criteria, List<String> stations) {
      this(id, nameplate, criteria, stations, PlanOptions.USUAL);
    }
  }
}

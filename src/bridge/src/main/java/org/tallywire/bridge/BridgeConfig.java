package org.tallywire.bridge;

import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.api.Driver;
import org.tallywire.api.LinkAddress;
import org.tallywire.publish.Secret;

/**
 * What a bridge is to do, complete and checked.
 *
 * @param site name of the place, a level of every topic
 * @param data folder of the journal and everything else the bridge writes
 * @param broker where to publish
 * @param page where to serve the live page
 * @param stations one a line to an instrument
 * @param testSets to open at the start, or to go on with
 */
record BridgeConfig(
    String site,
    Path data,
    Broker broker,
    Page page,
    List<Station> stations,
    List<TestSet> testSets) {

  /**
   * The broker.
   *
   * @param uri {@code tcp://host:port}
   * @param root first level of every topic
   * @param clientId ours; if empty, one is made and kept in the data folder
   */
  record Broker(
      String uri,
      String root,
      Optional<String> clientId,
      Optional<String> username,
      Optional<Secret> password) {}

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

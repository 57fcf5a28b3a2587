// The top line and the stations.

import { bridgeOf, delivery } from "./delivery.js";
import { h, shape } from "./dom.js";
import { mainValue } from "./records.js";
import * as words from "./words.js";

const LOOKS = {
  down: "bad", stale: "old", stopped: "old", connecting: "busy", waiting: "busy", connected: "good", running: "good",
};
// how it stands with broker and storage
const WORD_LOOKS = {
  connected: "good", sound: "good", connecting: "busy", refused: "bad", full: "bad", failing: "bad",
};
const ORDER = ["down", "stale", "stopped", "unknown", "connecting", "waiting"];

function chip(name, look, word, rest) {
  return h("li", { class: `chip look-${look}` }, h("span", { class: "chip-name" }, name), shape(look),
    h("strong", null, word), rest && h("span", { class: "quiet" }, rest));
}

function linkChip(link, now) {
  if (link.live) {
    return chip("This page", "good", "live", now - link.heard >= 3000 && `heard ${words.age(now - link.heard)} ago`);
  }
  return link.lostSince === null ? chip("This page", "busy", "connecting") : chip("This page", "bad", "lost");
}

/** What nobody may overlook: the page no longer hears the bridge. */
export function lostLine(link, now) {
  if (link.live || link.lostSince === null) {
    return null;
  }
  const never = link.heard === null;
  return h("p", { class: "lost-line" }, shape("bad"),
    h("strong", null, never ? "Not connected to the bridge " : "Connection to the bridge lost "),
    `since ${words.clock(link.lostSince)} (${words.age(now - link.lostSince)}): ${link.why}. `,
    never ? "Nothing is shown yet. " : "All below is the last that was heard and may be wrong by now. ",
    "The page keeps trying.");
}

function bridgeChips(records, link) {
  const bridge = bridgeOf(records);
  if (!bridge) {
    return [chip("Bridge", "unknown", "not reported")];
  }
  const look = (usual) => (link.live ? usual : "unknown");
  const wordChip = (name, word) => chip(name, look(WORD_LOOKS[word] ?? "old"), words.plain(word));
  const told = (bridge.notices ?? []).some((n) => n.sentence === bridge.detail);
  return [
    chip("Bridge", look(LOOKS[bridge.state]), bridge.state, `since ${words.clock(bridge.since)}`),
    bridge.broker ? wordChip("Broker", bridge.broker) : chip("Broker", "unknown", "not reported"),
    bridge.storage && wordChip("Storage", bridge.storage),
    bridge.detail && !told && h("li", { class: "chip-detail" }, bridge.detail),
  ];
}

export function topLine(records, link, now) {
  return [
    lostLine(link, now),
    h("div", { class: "bar" },
      h("h1", null, h("span", { class: "tally", "aria-hidden": "true" }), "Tallywire"),
      h("ul", { class: "chips" }, linkChip(link, now), bridgeChips(records, link)),
      delivery(records, link.live)),
  ];
}

function stationNames(records) {
  const names = new Set(records.latest.keys());
  for (const state of records.states.values()) {
    if (state.of === "station") {
      names.add(state.station);
    }
  }
  return [...names];
}

function station(records, name) {
  const state = records.states.get(name);
  const failures = records.failuresOf(name);
  const word = state?.state ?? "unknown";
  const order = failures.length > 0 ? -1 : ORDER.indexOf(word);
  return { name, state, word, failures, rank: order === -1 && failures.length === 0 ? ORDER.length : order };
}

function latestReading(reading, serverNow) {
  if (!reading) {
    return h("p", { class: "quiet" }, "no reading yet");
  }
  const main = mainValue(reading);
  return h("div", { class: "latest" },
    h("p", null, h("span", { class: "big" }, words.value(main)), " ",
      h("span", { class: "age" }, `${words.age(serverNow - Date.parse(reading.receivedAt))} ago`), " ",
      reading.status !== "ok" && h("strong", { class: "warn" }, words.plain(reading.status))),
    h("p", null, [words.quantity(main.quantity), words.place(reading.labels)].filter(Boolean).join(", ")));
}

function counts(state) {
  const text = [["gaps", state?.gaps], ["faults", state?.faults]]
    .filter(([, n]) => n > 0).map(([name, n]) => `${name} ${n}`).join(", ");
  return text && h("p", { class: "warn" }, `${text} since the bridge started`);
}

function unseen(state) {
  return state?.gapsSeen === false && h("p", { class: "quiet" },
    "does not number its readings: one that is lost on the way leaves no trace");
}

function card(records, { name, state, word, failures }, serverNow, live) {
  const reading = records.latest.get(name);
  const who = state?.instrument ?? reading?.instrument;
  const look = LOOKS[word] ?? "unknown";
  return h("li", { class: `station look-${failures.length > 0 ? "bad" : look}`, "data-key": name },
    h("div", { class: "station-head" }, h("h3", null, name),
      h("p", { class: `state look-${live ? look : "unknown"}` }, shape(live ? look : "unknown"),
        h("strong", null, word === "unknown" ? "state not reported" : word),
        !live && h("span", { class: "warn" }, "last known")),
      state && h("p", { class: "quiet" }, `since ${words.clock(state.since)} (${words.age(serverNow - Date.parse(state.since))})`)),
    failures.length > 0 && h("p", { class: "state look-bad" }, shape("fail"),
      h("strong", null, failures.length === 1 ? "1 failed verdict" : `${failures.length} failed verdicts`)),
    state?.detail && h("p", { class: word === "connected" ? "quiet" : "" }, state.detail),
    latestReading(reading, serverNow),
    h("p", { class: "quiet" }, who ? words.instrument(who) : "instrument not known yet"),
    counts(state), unseen(state));
}

/** Stations, those that need a person first: failed, down, stale. */
export function stations(records, serverNow, live) {
  const all = stationNames(records).map((name) => station(records, name))
    .sort((a, b) => a.rank - b.rank || (a.name < b.name ? -1 : 1));
  const needing = all.filter((s) => s.rank <= ORDER.indexOf("stale")).length;
  return [
    h("h2", { id: "stations-title" }, "Stations",
      needing > 0 && h("span", { class: "count warn" }, needing === 1 ? "1 needs a person" : `${needing} need a person`)),
    all.length === 0
      ? h("p", { class: "quiet" }, "No station has reported yet.")
      : h("ul", { class: "cards" }, all.map((s) => card(records, s, serverNow, live))),
  ];
}

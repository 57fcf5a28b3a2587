// How far the records have come, and what about it needs a person.

import { h, shape } from "./dom.js";

const TITLES = {
  storage: "Journal", judging: "Judging", broker: "Broker", shelf: "Shelf", retention: "Old records",
};
// while records cannot be put on disk nothing is acknowledged: nobody may overlook that
const GRAVE = new Set(["storage"]);

export function bridgeOf(records) {
  return [...records.states.values()].find((s) => s.of === "bridge");
}

function title(notice, bridge) {
  if (notice.concern === "storage") {
    return bridge.storage === "full" ? "The journal's disk is full" : "The journal cannot be written";
  }
  if (notice.concern === "broker" && bridge.broker === "refused") {
    return "The broker refuses this bridge";
  }
  return TITLES[notice.concern] ?? notice.concern;
}

function banner(notice, bridge) {
  const grave = GRAVE.has(notice.concern);
  return h("div", { class: `notice ${grave ? "grave" : "plain"}`, "data-key": notice.concern }, shape(grave ? "bad" : "old"),
    h("p", null, h("strong", null, title(notice, bridge), ". "),
      grave && h("strong", null, "Nothing is acknowledged to any instrument. "), notice.sentence));
}

/** What the bridge says a person should know or do; the worst first. */
export function notices(records) {
  const bridge = bridgeOf(records);
  return bridge?.state === "running" ? (bridge.notices ?? []).map((n) => banner(n, bridge)) : [];
}

/** The same for a screen reader, one text a concern. */
export function noticeTexts(records) {
  const bridge = bridgeOf(records);
  return (bridge?.notices ?? []).map((n) => [n.concern, title(n, bridge)]);
}

function figure(name, number, words, look) {
  return h("li", { class: `figure look-${look}`, "data-key": name }, shape(look), h("span", null, h("strong", null, number), ` ${words}`));
}

function reached(position, of, words) {
  const left = Math.max(0, of - position);
  return [left === 0 ? "all" : String(position), left === 0 ? words : `${words}, ${left} to go`, left === 0 ? "good" : "busy"];
}

/** "164 records journalled, all accepted by the broker, ..." as the words say it, no more. */
export function delivery(records, live) {
  const bridge = bridgeOf(records);
  if (bridge?.journalled === undefined) {
    return null;
  }
  const look = (usual) => (live ? usual : "unknown");
  const [accepted, acceptedWords, acceptedLook] = reached(bridge.accepted, bridge.journalled, "accepted by the broker");
  const confirmed = Object.entries(bridge.confirmed ?? {}).map(([name, position]) => {
    const [number, words, usual] = reached(position, bridge.journalled, `confirmed by ${name}`);
    return figure(`confirmed ${name}`, number, words, look(usual));
  });
  return h("ul", { class: "delivery", "aria-label": "How far the records have come" },
    figure("journalled", bridge.journalled, bridge.journalled === 1 ? "record journalled" : "records journalled",
      look(bridge.storage === "sound" ? "good" : "bad")),
    figure("accepted", accepted, acceptedWords, look(acceptedLook)),
    confirmed,
    figure("shelved", bridge.shelved === 0 ? "none" : String(bridge.shelved), "on the shelf", look(bridge.shelved === 0 ? "good" : "old")));
}

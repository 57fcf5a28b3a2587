// What stands outside a test set: readings that no booking names, and gaps.

import { h, shape } from "./dom.js";
import * as words from "./words.js";

const SHOWN = 20;
const REASONS = {
  overflow: "the instrument's store overflowed",
  skipped: "the instrument skipped them",
  unreadable: "a line arrived undamaged and is no reading",
  conflict: "the instrument sent two different readings with one number",
};

function gapTitle(record, n) {
  if (record.reason === "conflict") {
    return "conflict: a repeat with other content";
  }
  return n === 1 ? "gap: 1 reading missing" : `gap: ${n} readings missing`;
}

function gap(record, serverNow) {
  const n = record.to - record.from + 1;
  const which = n === 1 ? `no. ${record.from}` : `no. ${record.from} to ${record.to}`;
  return h("li", { class: "gap", "data-key": record.id },
    h("p", { class: "mark tone-fail" }, shape("old"), h("strong", null, gapTitle(record, n))),
    h("p", null, `${record.station}, ${which}: ${REASONS[record.reason] ?? record.reason}. ${record.detail}`),
    h("p", { class: "quiet" }, `${words.age(serverNow - Date.parse(record.noticedAt))} ago, ${words.instrument(record.instrument)}`));
}

function reading(record, serverNow) {
  return h("li", { "data-key": record.id },
    h("p", null, h("strong", null, record.station),
      ` ${[record.labels.test && words.plain(record.labels.test), words.place(record.labels)].filter(Boolean).join(" ")}`),
    h("p", null, record.values.map((v) => h("span", { class: "value-item" }, `${words.quantity(v.quantity)} ${words.value(v)}`))),
    h("p", { class: "quiet" }, record.status !== "ok" && h("strong", { class: "warn" }, `${words.plain(record.status)}, `),
      `${words.age(serverNow - Date.parse(record.receivedAt))} ago`));
}

export function loose(records, serverNow) {
  const list = records.loose(SHOWN);
  const more = records.looseCount() - list.length;
  return [
    h("h2", { id: "loose-title" }, "Outside a test set"),
    list.length === 0
      ? h("p", { class: "quiet" }, "No reading without a booking, and no gap.")
      : h("ul", { class: "loose" }, list.map((r) => (r.record === "gap" ? gap(r, serverNow) : reading(r, serverNow)))),
    more > 0 && h("p", { class: "quiet" }, `and ${more} older`),
  ];
}

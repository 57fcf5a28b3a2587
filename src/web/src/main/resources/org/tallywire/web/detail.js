// All there is about one step or one comparison, in a dialog.

import { h, shape } from "./dom.js";
import { comparisons, nextStep, reference, stateMark, stepVerdicts, testTitle } from "./testset.js";
import * as words from "./words.js";

function pairs(rows) {
  return h("dl", { class: "pairs" }, rows.filter(([, text]) => text !== undefined && text !== "")
    .map(([name, text]) => h("div", null, h("dt", null, name), h("dd", null, text))));
}

function values(reading) {
  return h("table", { class: "values" },
    h("tbody", null, reading.values.map((v) => h("tr", null,
      h("th", { scope: "row" }, words.sentenceCase(words.quantity(v.quantity))), h("td", null, words.value(v))))));
}

function clockQuality(reading) {
  return { synchronised: "instrument's clock, synchronised", free: "instrument's clock, not set against another" }[reading.clock]
    ?? "instrument without a clock";
}

function readingPart(records, reading, replaced) {
  const booking = records.booking(reading.id);
  return h("section", null,
    h("h3", null, "Reading"),
    values(reading),
    h("p", { class: "quiet" }, "The line as it came:"),
    h("pre", { tabindex: "0" }, reading.raw),
    pairs([
      ["Status", words.plain(reading.status)],
      ["Taken", reading.takenAt && `${words.clock(reading.takenAt)} (${clockQuality(reading)})`],
      ["Received", words.clock(reading.receivedAt)],
      ["Station", reading.station],
      ["Instrument", words.instrument(reading.instrument)],
      ["Instrument says", Object.entries(reading.labels).map(([k, v]) => `${k} ${v}`).join(", ")],
      ["Driver", reading.driver],
      ["Booked", booking && `${words.clock(booking.bookedAt)} by ${booking.by}`],
      ["Record", reading.id],
      ["Replaced", replaced > 0 ? `${replaced} earlier reading${replaced > 1 ? "s" : ""} of this step` : ""],
    ]));
}

function verdictPart(records, verdict) {
  const where = words.subject(verdict.subject);
  return h("section", { class: `verdict tone-${verdict.state}` },
    h("h3", null, stateMark(verdict.state), ` ${words.sentenceCase(words.plain(verdict.criterion))} ${words.place(where)}`),
    !records.isCurrent(verdict) && h("p", { class: "warn" }, "This is about an earlier reading; the present one is not judged yet."),
    h("p", null, verdict.sentence),
    verdict.findings.map((f) => h("p", { class: "finding" }, h("strong", null, f.phase === "all" ? "All phases: " : `Phase ${f.phase}: `), words.finding(f))),
    nextStep(verdict),
    pairs([
      ["Measured, as judged", verdict.measured && words.withUnit(verdict.measured, verdict.unit)],
      ["Expected", verdict.expected && words.withUnit(verdict.expected, verdict.unit)],
      ["Deviation", words.deviation(verdict)],
      ["Limit", words.limit(verdict)],
      [`Uncertainty (k = ${verdict.coverage ?? 2})`, words.withUnit(verdict.uncertainty, verdict.deviationUnit)],
      ["Probability", words.conformance(verdict.conformance)],
      ["Decision rule", verdict.decisionRule],
      ["Rule", verdict.rule.text],
      ["Source", verdict.rule.source],
      ["How sure", words.certainty(verdict.rule.certainty)],
      ["Criteria", `${verdict.table.name} ${verdict.table.version}, method ${verdict.method}`],
      ["As of", words.clock(verdict.asOf)],
      ["Record", verdict.id],
    ]));
}

function head(title, lost) {
  return [
    lost,
    h("div", { class: "detail-head" }, h("h2", { id: "detail-title", tabindex: "-1" }, title),
      h("button", { type: "button", "data-close": true }, "Close")),
  ];
}

/** A step: its reading, its verdicts, and the comparisons it is part of. */
export function stepDetail(records, set, step, lost) {
  const reading = records.currentReading(set.id, step.id);
  const all = records.readingsOf(set.id, step.id);
  const earlier = reference(set.opened.nameplate, step);
  const compared = reading ? comparisons(records, set).filter((v) => v.readings.includes(reading.id)) : [];
  return [
    head(`${testTitle(step.test)} ${words.place(step)}`, lost),
    pairs([
      ["Leads", step.terminals],
      ["Mind", step.note],
      ["Expected", step.expected && words.withUnit(step.expected, step.unit)],
      ["Earlier value", earlier && `${words.withUnit(earlier.ohms, "Ohm")} at ${set.opened.nameplate.referenceTemperature} °C`],
    ]),
    reading ? readingPart(records, reading, all.length - 1)
      : h("p", { class: "mark" }, shape("awaited"), h("span", null, "not measured")),
    stepVerdicts(records, set, step).map((v) => verdictPart(records, v)),
    compared.map((v) => verdictPart(records, v)),
  ];
}

/** A verdict by itself, with the readings that went in. */
export function verdictDetail(records, verdict, lost) {
  const readings = verdict.readings.map((id) => records.readings.get(id)).filter(Boolean);
  return [
    head(`Verdict on ${verdict.asset}`, lost),
    verdictPart(records, verdict),
    h("h3", null, readings.length === 1 ? "Its reading" : "Its readings"),
    readings.map((r) => h("section", null, h("h4", null, words.place(r.labels)), values(r), h("pre", { tabindex: "0" }, r.raw))),
  ];
}

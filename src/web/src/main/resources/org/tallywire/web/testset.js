// One test set: what it is, what went wrong, and every step as a cell.

import { h, shape } from "./dom.js";
import { failed, mainValue, rank, worst } from "./records.js";
import * as words from "./words.js";

const TITLES = { "turns-ratio": "Turns ratio", "winding-resistance": "Winding resistance" };
const STATE_ORDER = ["fail", "conditional-fail", "undecided", "conditional-pass", "pass"];

/** The verdicts on a step that count, and those that compare several steps. */
export function stepVerdicts(records, set, step) {
  return records.verdicts(set.id).filter((v) => v.subject === step.id);
}

export function comparisons(records, set) {
  const steps = new Set(set.opened.plan.map((step) => step.id));
  return records.verdicts(set.id).filter((v) => !steps.has(v.subject));
}

export function stateMark(state, extra) {
  return h("span", { class: `mark tone-${state}` }, shape(state), h("span", null, words.plain(state), extra));
}

export function testTitle(test) {
  return TITLES[test] ?? words.sentenceCase(words.plain(test));
}

function tally(entries) {
  return h("ul", { class: "tally-line" }, entries.map(([state, n]) =>
    h("li", { class: `mark tone-${state}` }, shape(state), h("span", null, `${n} ${words.plain(state)}`))));
}

function byState(counts) {
  return Object.entries(counts).filter(([, n]) => n > 0)
    .sort(([a], [b]) => STATE_ORDER.indexOf(a) - STATE_ORDER.indexOf(b));
}

function countNow(verdicts) {
  const counts = {};
  for (const verdict of verdicts) {
    counts[verdict.state] = (counts[verdict.state] ?? 0) + 1;
  }
  return counts;
}

function life(records, set, serverNow) {
  if (set.closed) {
    const open = set.closed.open.length;
    return h("div", { class: "life closed" },
      h("p", null, h("strong", null, "Closed"), ` ${words.clock(set.closed.at)}, opened ${words.clock(set.opened.at)}. Verdicts: `),
      tally(byState(set.closed.result)),
      open > 0 && h("p", { class: "warn" }, open === 1 ? "1 step has no reading." : `${open} steps have no reading.`));
  }
  const verdicts = records.verdicts(set.id).filter((v) => records.isCurrent(v));
  return h("div", { class: "life" },
    h("p", null, h("strong", null, "Open"), ` since ${words.clock(set.opened.at)} (${words.age(serverNow - Date.parse(set.opened.at))}). `,
      verdicts.length > 0 ? "Verdicts so far: " : "No verdict yet."),
    tally(byState(countNow(verdicts))));
}

/** The tap changers of a plate; records of method 1 have the taps of the only one in the plate itself. */
function tapChangers(nameplate) {
  return nameplate.tapChangers ?? [{ side: "HV", kind: "de-energised", principal: nameplate.principalTap, taps: nameplate.taps }];
}

/** The tap changer positions of a step, each with its changer: of two, the de-energised one comes first. */
function positions(nameplate, step) {
  return tapChangers(nameplate).map((changer, i) => ({ changer, position: i === 0 ? step.tap : step.onLoadTap }))
    .filter(({ position }) => position !== undefined);
}

function plate({ nameplate }) {
  const item = (name, text) => h("div", null, h("dt", null, name), h("dd", null, text));
  return h("dl", { class: "plate" },
    item("Group", words.group(nameplate.group)),
    item("Voltages", `HV ${words.grouped(nameplate.hvVoltage)} V / LV ${words.grouped(nameplate.lvVoltage)} V, `
      + `line to line, at ${tapChangers(nameplate).map((c) =>
        `${c.side} ${c.kind} tap ${c.principal} of ${c.taps.length}`).join(", ")}`),
    item("Power", `${words.grouped(nameplate.ratedPower)} kVA, ${nameplate.frequency} Hz`),
    item("Windings", `HV ${nameplate.hvConductor}, LV ${nameplate.lvConductor}; resistances at ${nameplate.referenceTemperature} °C`));
}

function progress(records, set) {
  const { plan } = set.opened;
  const missing = plan.filter((step) => !records.currentReading(set.id, step.id));
  const done = plan.length - missing.length;
  const next = !set.closed && missing[0];
  return h("div", { class: "progress" },
    h("label", { id: "progress-label" }, h("strong", null, `${done} of ${plan.length}`), " steps measured"),
    h("progress", { max: plan.length, value: done, "aria-labelledby": "progress-label" }),
    next && h("p", { class: "next" }, h("strong", null, "Next: "),
      `${testTitle(next.test)} ${words.place(next)}, leads ${next.terminals}`,
      next.note && h("span", { class: "finding" }, next.note)));
}

/** Every verdict that did not pass or found something, worst first. */
function problems(records, set) {
  return records.verdicts(set.id)
    .filter((v) => records.isCurrent(v) && (rank(v.state) > rank("conditional-pass") || v.findings.length > 0))
    .sort((a, b) => rank(b.state) - rank(a.state));
}

function problemList(list) {
  if (list.length === 0) {
    return null;
  }
  return h("ul", { class: "problems", "aria-label": "Failures and findings" }, list.map((v) =>
    h("li", { class: `problem tone-${v.state}` },
      h("button", { type: "button", class: "plain-button", "data-verdict": v.id },
        stateMark(v.state),
        h("span", { class: "problem-text" }, h("strong", null, `${words.sentenceCase(words.plain(v.criterion))}. `), v.sentence,
          v.findings.map((f) => h("span", { class: "finding" }, words.finding(f))), nextStep(v))))));
}

/** What to do now about a verdict that did not pass. */
export function nextStep(verdict) {
  return verdict.next && rank(verdict.state) > rank("conditional-pass")
    && h("span", { class: "finding next-step" }, h("strong", null, "Next: "), verdict.next);
}

/** The reference value of a resistance on the plate, if there is one. */
export function reference(nameplate, step) {
  return step.test === "winding-resistance"
    ? (nameplate.references ?? []).find((r) => r.windings === step.windings && r.phase === step.phase)
    : undefined;
}

function awaited(set, step) {
  const earlier = reference(set.opened.nameplate, step);
  const expected = step.expected !== undefined
    ? `expects ${words.expected(step.expected, step.unit)}`
    : earlier && `earlier ${words.expected(earlier.ohms, "Ohm")} at ${set.opened.nameplate.referenceTemperature} °C`;
  return [
    h("span", { class: "expected" }, expected ?? "no value expected"),
    h("span", { class: "leads" }, step.terminals),
    h("span", { class: "mark" }, shape("awaited"), h("span", null, set.closed ? "not measured" : "to measure")),
  ];
}

function measured(verdicts, reading, remarks) {
  const main = mainValue(reading);
  const deviating = verdicts.find((v) => v.deviation !== undefined && v.criterion.endsWith("-deviation"));
  const judged = worst(verdicts);
  const about = judged && rank(judged.state) > 1 && judged !== deviating ? `: ${words.plain(judged.criterion)}` : "";
  return [
    h("span", { class: "figures" }, h("span", { class: "value" }, words.value(main)), " ",
      deviating && h("span", { class: "dev" }, words.deviation(deviating, 3))),
    reading.status !== "ok" && h("span", { class: "warn" }, words.plain(reading.status)),
    judged ? stateMark(judged.state, about)
      : h("span", { class: "mark" }, shape("judging"), h("span", null, "not judged yet")),
    remarks.map((v) => stateMark(v.state, `: ${v.criterion.split("-").at(-1)}`)),
  ];
}

function cell(records, set, step) {
  const reading = records.currentReading(set.id, step.id);
  const verdicts = stepVerdicts(records, set, step).filter((v) => records.isCurrent(v));
  const remarks = reading ? comparisons(records, set).filter((v) => failed(v.state) && v.readings.includes(reading.id)
    && v.findings.some((f) => f.phase === step.phase) && records.isCurrent(v)) : [];
  const tone = reading ? (worst([...verdicts, ...remarks])?.state ?? "judging") : "awaited";
  return h("td", { class: `cell tone-${tone}`, "data-key": step.id },
    h("button", { type: "button", "data-step": step.id, "aria-haspopup": "dialog" },
      h("span", { class: "unseen" }, `${testTitle(step.test)} ${words.place(step)}: `),
      reading ? measured(verdicts, reading, remarks) : awaited(set, step)));
}

function rowHead(nameplate, step, severalWindings) {
  const at = positions(nameplate, step);
  const taps = words.taps(step);
  const name = [(severalWindings || !taps) && step.windings, taps].filter(Boolean).join(" ");
  const voltages = at.map(({ changer, position }) => changer.taps.find((t) => t.position === position)?.voltage).filter(Boolean);
  return h("th", { scope: "row" },
    h("span", { class: "row-name" }, words.sentenceCase(name)),
    voltages.map((v) => h("span", { class: "quiet" }, `${words.grouped(v)} V`)),
    at.length > 0 && at.every(({ changer, position }) => position === changer.principal)
      && h("span", { class: "quiet" }, "principal"));
}

function grid(records, set, test) {
  const steps = set.opened.plan.filter((step) => step.test === test);
  const phases = [...new Set(steps.map((step) => step.phase))];
  const rows = Map.groupBy
    ? Map.groupBy(steps, rowKey)
    : steps.reduce((m, s) => m.set(rowKey(s), [...(m.get(rowKey(s)) ?? []), s]), new Map());
  const several = new Set(steps.map((step) => step.windings)).size > 1;
  const title = several ? testTitle(test) : `${testTitle(test)} ${steps[0].windings}`;
  return h("div", { class: "grid-box", role: "region", tabindex: "0", "aria-label": title, "data-key": test },
    h("table", { class: "grid" },
      h("caption", null, title),
      h("thead", null, h("tr", null, h("td", null), phases.map((p) => h("th", { scope: "col" }, words.sentenceCase(words.phase(p)))))),
      h("tbody", null, [...rows.values()].map((row) => h("tr", null, rowHead(set.opened.nameplate, row[0], several),
        phases.map((phase) => {
          const step = row.find((s) => s.phase === phase);
          return step ? cell(records, set, step) : h("td", null);
        }))))));
}

function rowKey(step) {
  return `${step.windings} ${step.tap ?? ""} ${step.onLoadTap ?? ""}`;
}

function comparisonList(records, set) {
  const list = comparisons(records, set).sort((a, b) => rank(b.state) - rank(a.state));
  return list.length === 0 ? null : h("div", null, h("h3", null, "Comparisons of phases and taps"),
    h("ul", { class: "comparisons" }, list.map((v) =>
      h("li", null,
        h("button", { type: "button", class: "plain-button", "data-verdict": v.id, "aria-haspopup": "dialog" },
          stateMark(v.state), h("span", { class: "problem-text" },
            h("strong", null, `${words.sentenceCase(words.plain(v.criterion))}. `), v.sentence,
            !records.isCurrent(v) && h("em", null, " (of earlier readings; being judged again)"),
            v.findings.map((f) => h("span", { class: "finding" }, words.finding(f))), nextStep(v)))))));
}

function chooser(records, set, chosen) {
  const sets = [...records.testSets.values()].filter((s) => s.opened).toReversed();
  if (sets.length < 2) {
    return null;
  }
  const label = (s) => `${s.asset}, opened ${words.clock(s.opened.at)} (${s.closed ? "closed" : "open"})`;
  return h("p", { class: "chooser" }, h("label", { for: "choose-set" }, "Show "),
    h("select", { id: "choose-set" },
      h("option", { value: "", selected: chosen === "" }, "the newest"),
      sets.map((s) => h("option", { value: s.id, selected: chosen === s.id }, label(s)))),
    chosen && set !== records.newestTestSet() && h("span", { class: "warn" }, " not the newest"));
}

/** The test set with the chosen id, or the newest if none is chosen. */
export function chosenSet(records, chosen) {
  const set = records.testSets.get(chosen);
  return set?.opened ? set : records.newestTestSet();
}

export function testSet(records, chosen, serverNow) {
  const set = chosenSet(records, chosen);
  if (!set) {
    return [h("h2", { id: "testset-title" }, "Test set"),
      h("p", { class: "quiet" }, "No test set has been opened yet.")];
  }
  const tests = [...new Set(set.opened.plan.map((step) => step.test))];
  return [
    h("h2", { id: "testset-title" }, set.asset, h("span", { class: "quiet" }, ` test set ${set.id}`)),
    chooser(records, set, chosen),
    problemList(problems(records, set)),
    life(records, set, serverNow),
    plate(set.opened),
    progress(records, set),
    tests.map((test) => grid(records, set, test)),
    comparisonList(records, set),
  ];
}

// Codes into words a person reads. Numbers stay the exact decimals they came as.

const UNITS = {
  1: "", Ohm: "Ω", mOhm: "mΩ", uOhm: "µΩ", kOhm: "kΩ", MOhm: "MΩ", Cel: "°C", deg: "°", uA: "µA",
};
const QUANTITIES = { "turns-ratio": "ratio" };
const MISSING = {
  "over-range": "over range", "under-range": "under range", open: "circuit open", invalid: "invalid", aborted: "aborted",
};
const CONNECTION = { y: "star", d: "delta", z: "zigzag" };
const CERTAINTY = {
  found: "read in that source",
  memory: "recalled from memory, the source was not at hand: check it",
  derived: "follows by arithmetic or circuit theory",
  practice: "common practice, no source",
};

export function unit(code) {
  return UNITS[code] ?? code;
}

export function withUnit(text, code) {
  const sign = unit(code);
  return sign ? `${text}\u00a0${sign}` : text;
}

/** An expected value: a ratio to 4 decimals, a resistance below 0.1 Ω in milliohms, exact. */
export function expected(decimal, code) {
  if (code !== "Ohm" || compare(decimal, "0.1") >= 0) {
    return withUnit(rounded(decimal, 4), code);
  }
  const [, fraction = ""] = decimal.split(".");
  const digits = fraction.padEnd(3, "0");
  const rest = digits.slice(3);
  return withUnit(String(BigInt(digits.slice(0, 3))) + (rest ? `.${rest}` : ""), "mOhm");
}

export function value(v) {
  return v.missing ? (MISSING[v.missing] ?? v.missing) : withUnit(v.value, v.unit);
}

export function plain(word) {
  return String(word).replaceAll("-", " ");
}

export function quantity(name) {
  return QUANTITIES[name] ?? plain(name);
}

export function certainty(word) {
  return CERTAINTY[word] ?? word;
}

export function sentenceCase(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

export function instrument(i) {
  const name = [i.maker, i.model].filter(Boolean).join(" ");
  return [name, i.serial && `no. ${i.serial}`, i.firmware && `firmware ${i.firmware}`].filter(Boolean).join(", ");
}

/** "phase C", or "all phases" where they are measured together. */
export function phase(letters) {
  return letters === "ABC" ? "all phases" : `phase ${letters}`;
}

/** "tap 3"; of a unit with two tap changers "tap 3, on-load tap 9". Steps and labels have both. */
export function taps(at) {
  const onLoad = at.onLoadTap ?? at["on-load-tap"];
  return [at.tap !== undefined && `tap ${at.tap}`, onLoad !== undefined && `on-load tap ${onLoad}`].filter(Boolean).join(", ");
}

/** "LV phase C, tap 3": where on the transformer. */
export function place(at) {
  const place = [at.windings, at.phase && phase(at.phase)].filter(Boolean).join(" ");
  return [place, taps(at)].filter(Boolean).join(", ");
}

/** The subject of a comparison, `test/windings[/phase][/tap[/on-load tap]]`, as parts of a step. */
export function subject(text) {
  const [test, windings, ...rest] = text.split("/");
  const [tap, onLoadTap] = rest.map((part) => /^(?:tap-?)?(\d+)$/.exec(part)?.[1]).filter((tap) => tap !== undefined);
  return { test, windings, phase: rest.find((part) => /^[A-Z]+$/.test(part)), tap, onLoadTap };
}

/** "Dyn11" in words, after the clock notation of IEC 60076-1: hours of 30° by which LV lags. */
export function group(code) {
  const parts = /^([YDZ])(N?)([ydz])(n?)(\d{1,2})$/.exec(code);
  if (!parts) {
    return code;
  }
  const side = (letter, neutral) => CONNECTION[letter.toLowerCase()] + (neutral ? " with neutral" : "");
  const hour = Number(parts[5]);
  let shift = "in phase with HV";
  if (hour === 6) {
    shift = "opposite to HV";
  } else if (hour > 0) {
    shift = hour < 6 ? `${hour * 30}° behind HV` : `${(12 - hour) * 30}° ahead of HV`;
  }
  return `${code}: HV ${side(parts[1], parts[2])}, LV ${side(parts[3], parts[4])}, LV ${shift}`;
}

/** "11000" to "11 000" (thin spaces); decimals stay. */
export function grouped(decimal) {
  const [whole, rest] = decimal.split(".");
  return whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") + (rest ? `.${rest}` : "");
}

/** Rounds a decimal half away from zero, on its digits and never as a binary number. */
export function rounded(decimal, places) {
  const [whole, fraction = ""] = decimal.replace("-", "").split(".");
  if (fraction.length <= places) {
    return decimal;
  }
  const kept = BigInt(whole + fraction.slice(0, places)) + (fraction[places] >= "5" ? 1n : 0n);
  const digits = kept.toString().padStart(places + 1, "0");
  const text = places === 0 ? digits : `${digits.slice(0, -places)}.${digits.slice(-places)}`;
  return decimal.startsWith("-") && kept !== 0n ? `-${text}` : text;
}

function scaled(decimal, places) {
  const [whole, fraction = ""] = decimal.split(".");
  return BigInt(whole + fraction.padEnd(places, "0"));
}

/** Negative, zero or positive, as a is less than, equal to or greater than b; exact. */
export function compare(a, b) {
  const places = Math.max(a.split(".")[1]?.length ?? 0, b.split(".")[1]?.length ?? 0);
  const [x, y] = [scaled(a, places), scaled(b, places)];
  return x < y ? -1 : Number(x > y);
}

/** The deviation of a verdict with a sign: + where more was measured than expected. */
export function deviation(verdict, places) {
  if (verdict.deviation === undefined) {
    return "";
  }
  let text = places === undefined ? verdict.deviation : rounded(verdict.deviation, places);
  if (verdict.measured !== undefined && verdict.expected !== undefined) {
    const order = compare(verdict.measured, verdict.expected);
    text = (order > 0 ? "+" : order < 0 ? "−" : "") + text.replace("-", "");
  }
  return withUnit(text.replace("-", "−"), verdict.deviationUnit);
}

/** A limit with the side that is good: "±0.45 %", "at least 100 MΩ". */
export function limit(verdict) {
  const text = withUnit(verdict.limit, verdict.deviationUnit);
  return { within: `±${text}`, "at-least": `at least ${text}`, "at-most": `at most ${text}` }[verdict.bound] ?? text;
}

/** "97.72 % that the true figure keeps the limit", from a probability of 0 to 1 with 4 decimals. */
export function conformance(probability) {
  if (probability === undefined) {
    return "";
  }
  const [whole, fraction = ""] = probability.split(".");
  const digits = whole + fraction.padEnd(4, "0");
  const percent = `${BigInt(digits.slice(0, -2))}.${digits.slice(-2)}`;
  const text = { "0.00": "less than 0.01", "100.00": "more than 99.99" }[percent] ?? percent;
  return `${text}\u00a0% that the true figure keeps the limit`;
}

/** A finding as a sentence; what is only one explanation of several says so. */
export function finding(f) {
  return f.kind === "hint" ? `Hint: ${f.sentence}` : f.sentence;
}

export function clock(iso) {
  const date = new Date(iso);
  const pad = (n) => String(n).padStart(2, "0");
  const time = `${pad(date.getHours())}:${pad(date.getMinutes())}:${pad(date.getSeconds())}`;
  const day = `${date.getFullYear()}-${pad(date.getMonth() + 1)}-${pad(date.getDate())}`;
  return new Date().toDateString() === date.toDateString() ? time : `${day} ${time}`;
}

/** "12 s", "3 min 05 s", "2 h 10 min", "4 d 3 h". */
export function age(milliseconds) {
  const s = Math.max(0, Math.floor(milliseconds / 1000));
  const pad = (n) => String(n).padStart(2, "0");
  if (s < 60) {
    return `${s} s`;
  }
  if (s < 3600) {
    return `${Math.floor(s / 60)} min ${pad(s % 60)} s`;
  }
  if (s < 86_400) {
    return `${Math.floor(s / 3600)} h ${pad(Math.floor(s / 60) % 60)} min`;
  }
  return `${Math.floor(s / 86_400)} d ${Math.floor(s / 3600) % 24} h`;
}

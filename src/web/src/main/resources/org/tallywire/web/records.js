// What the records say, taken together. The rules: the last booking of a reading wins, the last
// reading booked to a step wins, the last verdict of a test set, subject and criterion wins. A
// booking takes the place of all verdicts on its step, whether they are made again or not. A step
// whose last reading is booked elsewhere, or that is to be repeated, has neither.

const RANK = { fail: 5, "conditional-fail": 4, undecided: 3, "conditional-pass": 2, pass: 1 };

export class Records {
  states = new Map();
  readings = new Map();
  testSets = new Map();
  latest = new Map();
  caughtUp = false;
  count = 0;
  #bookings = new Map();
  #atStep = new Map();
  #lastBooking = new Map();
  #verdicts = new Map();
  #loose = new Map();

  apply(record) {
    this.count += 1;
    switch (record.record) {
      case "reading": return this.#reading(record);
      case "booking": return this.#booking(record);
      case "verdict": return this.#verdict(record);
      case "test-set": return this.#testSet(record);
      case "gap": return void this.#loose.set(record.id, record);
      default: // a kind this page does not know has nothing to show here
    }
  }

  applyState(state) {
    const known = this.states.get(state.station);
    if (!known || known.epoch <= state.epoch) {
      this.states.set(state.station, state);
    }
  }

  #reading(reading) {
    this.readings.set(reading.id, reading);
    this.latest.set(reading.station, reading);
    if (!this.#bookings.has(reading.id)) {
      this.#loose.set(reading.id, reading);
    }
  }

  #booking(booking) {
    const before = this.#bookings.get(booking.reading);
    const moves = before && (before.testSet !== booking.testSet || before.step !== booking.step);
    if (moves && this.readingsOf(before.testSet, before.step).at(-1) === booking.reading) {
      this.#clear(before.testSet, before.step);
    }
    this.#bookings.set(booking.reading, booking);
    this.#loose.delete(booking.reading);
    const steps = mapIn(this.#atStep, booking.testSet);
    steps.set(booking.step, [...(steps.get(booking.step) ?? []), booking.reading]);
    mapIn(this.#lastBooking, booking.testSet).set(booking.step, booking.id);
    this.#forget(booking.testSet, booking.step);
  }

  /** A step without its last reading has none: what was taken before was given up when that came. */
  #clear(testSet, step) {
    mapIn(this.#atStep, testSet).delete(step);
    this.#forget(testSet, step);
  }

  #forget(testSet, step) {
    const verdicts = mapIn(this.#verdicts, testSet);
    for (const [key, verdict] of verdicts) {
      if (verdict.subject === step) {
        verdicts.delete(key);
      }
    }
  }

  #verdict(verdict) {
    const booking = this.#lastBooking.get(verdict.testSet)?.get(verdict.subject);
    if (booking && !verdict.bookings.includes(booking)) {
      return; // a newer booking to this step came before it
    }
    const key = `${verdict.subject} ${verdict.criterion}`;
    const verdicts = mapIn(this.#verdicts, verdict.testSet);
    verdicts.delete(key);
    verdicts.set(key, verdict);
  }

  #testSet(event) {
    const known = this.testSets.get(event.testSet) ?? { id: event.testSet, asset: event.asset, opened: null, closed: null };
    known[event.event] = event;
    if (event.event === "repeat") {
      this.#clear(event.testSet, event.step);
    }
    this.testSets.delete(event.testSet);
    this.testSets.set(event.testSet, known);
  }

  booking(readingId) {
    return this.#bookings.get(readingId);
  }

  /** Ids of the readings at a step, the one that counts last. */
  readingsOf(testSet, step) {
    const ids = this.#atStep.get(testSet)?.get(step) ?? [];
    return [...new Set(ids.toReversed())].toReversed().filter((id) => {
      const booking = this.#bookings.get(id);
      return booking.testSet === testSet && booking.step === step && this.readings.has(id);
    });
  }

  currentReading(testSet, step) {
    return this.readings.get(this.readingsOf(testSet, step).at(-1));
  }

  verdicts(testSet) {
    return [...(this.#verdicts.get(testSet)?.values() ?? [])];
  }

  /**
   * Whether the readings that a verdict judges still count; if not, it is of earlier ones. Of a step
   * it may have those before the last, which show whether it settled; those of another test are
   * only what it was compared with.
   */
  isCurrent(verdict) {
    return verdict.readings.every((id) => {
      const booking = this.#bookings.get(id);
      if (booking?.testSet !== verdict.testSet) {
        return false;
      }
      const sameTest = booking.step.split("/")[0] === verdict.subject.split("/")[0];
      return !sameTest || verdict.readings.includes(this.readingsOf(verdict.testSet, booking.step).at(-1));
    });
  }

  /** The test set to show: the newest open one, else the one closed last. */
  newestTestSet() {
    const all = [...this.testSets.values()].filter((set) => set.opened);
    return all.filter((set) => !set.closed).at(-1) ?? all.at(-1);
  }

  /** Failed verdicts that count, of test sets still open, by station. */
  failuresOf(station) {
    return [...this.testSets.values()]
      .filter((set) => set.opened && !set.closed)
      .flatMap((set) => this.verdicts(set.id))
      .filter((v) => v.station === station && failed(v.state) && this.isCurrent(v));
  }

  /** The newest readings that no booking names, and gaps; newest first. */
  loose(limit) {
    return [...this.#loose.values()].slice(-limit).toReversed();
  }

  looseCount() {
    return this.#loose.size;
  }
}

function mapIn(maps, key) {
  if (!maps.has(key)) {
    maps.set(key, new Map());
  }
  return maps.get(key);
}

export function failed(state) {
  return state === "fail" || state === "conditional-fail";
}

export function rank(state) {
  return RANK[state] ?? 0;
}

export function worst(verdicts) {
  return verdicts.reduce((a, b) => (a && rank(a.state) >= rank(b.state) ? a : b), undefined);
}

/** The value a step is about: the first that is the test's own quantity, else the first. */
export function mainValue(reading) {
  return reading.values.find((v) => v.quantity === reading.labels.test) ?? reading.values[0];
}

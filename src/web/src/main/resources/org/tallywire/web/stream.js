// The event stream, read by fetch and not by EventSource, because the keep-alives are comments and
// EventSource hides them: a page that hears nothing must say so.

const SILENCE_MS = 4500;
const AGAIN_MS = 1000;

/** Cuts a stream of text into events (WHATWG HTML, "Interpreting an event stream"). */
export class EventParser {
  #rest = "";
  #event = "";
  #data = [];
  #id = null;

  constructor(onEvent, onComment) {
    this.onEvent = onEvent;
    this.onComment = onComment;
  }

  push(text) {
    const lines = (this.#rest + text).split("\n");
    this.#rest = lines.pop();
    for (const line of lines) {
      this.#line(line.endsWith("\r") ? line.slice(0, -1) : line);
    }
  }

  #line(line) {
    if (line === "") {
      if (this.#data.length > 0) {
        this.onEvent(this.#event || "message", this.#data.join("\n"), this.#id);
      }
      this.#event = "";
      this.#data = [];
      this.#id = null;
      return;
    }
    const colon = line.indexOf(":");
    const field = colon < 0 ? line : line.slice(0, colon);
    const value = colon < 0 ? "" : line.slice(colon + 1).replace(/^ /, "");
    if (colon === 0) {
      this.onComment(value);
    } else if (field === "event") {
      this.#event = value;
    } else if (field === "data") {
      this.#data.push(value);
    } else if (field === "id") {
      this.#id = value;
    }
  }
}

/**
 * Keeps a stream open for ever. `link` says how it is: { live, heard, lostSince, why }, times in
 * milliseconds of this browser's clock.
 */
export class Feed {
  link = { live: false, heard: null, lostSince: null, why: "" };
  #lastId = "";
  #heardAt = 0;
  #abort = null;

  constructor(url, { onEvent, onServerTime, onOtherJournal, onLink }) {
    this.url = url;
    this.onEvent = onEvent;
    this.onServerTime = onServerTime;
    this.onOtherJournal = onOtherJournal;
    this.onLink = onLink;
  }

  start() {
    setInterval(() => this.#watch(), 250);
    this.#again();
  }

  async #again() {
    try {
      await this.#connect();
      this.#lost("the bridge closed the connection");
    } catch (e) {
      this.#lost(e instanceof Refused ? e.message : "the bridge does not answer");
    }
    setTimeout(() => this.#again(), AGAIN_MS);
  }

  async #connect() {
    this.#abort = new AbortController();
    this.#heardAt = performance.now();
    const headers = { Accept: "text/event-stream" };
    if (this.#lastId) {
      headers["Last-Event-ID"] = this.#lastId;
    }
    const answer = await fetch(this.url, { headers, cache: "no-store", signal: this.#abort.signal });
    if (answer.status === 409) {
      this.#lastId = "";
      this.onOtherJournal();
    }
    if (!answer.ok) {
      throw new Refused((await answer.text()).trim() || `the bridge answered ${answer.status}`);
    }
    const parser = new EventParser(
      (event, data, id) => {
        this.onEvent(event, data);
        this.#lastId = id ?? this.#lastId;
      },
      (comment) => this.onServerTime(comment),
    );
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    for (;;) {
      const { done, value } = await reader.read();
      if (done) {
        return;
      }
      this.#heard();
      parser.push(value);
    }
  }

  #heard() {
    this.#heardAt = performance.now();
    this.link = { live: true, heard: Date.now(), lostSince: null, why: "" };
    this.onLink();
  }

  #watch() {
    if (this.#abort && performance.now() - this.#heardAt > SILENCE_MS) {
      this.#abort.abort();
      this.#lost("the bridge is silent");
    }
  }

  #lost(why) {
    this.#abort = null;
    const since = this.link.lostSince ?? this.link.heard ?? Date.now();
    this.link = { live: false, heard: this.link.heard, lostSince: since, why };
    this.onLink();
  }
}

class Refused extends Error {}

// The page: follows the stream, draws what the records say, and does nothing else.

import { h, show } from "./dom.js";
import { notices, noticeTexts } from "./delivery.js";
import { stepDetail, verdictDetail } from "./detail.js";
import { loose } from "./loose.js";
import { failed, Records } from "./records.js";
import { lostLine, stations, topLine } from "./stations.js";
import { Feed } from "./stream.js";
import { chosenSet, testSet } from "./testset.js";

const part = (id) => document.getElementById(id);

let records = new Records();
let chosen = "";
let detail = null;
let announced = new Set();
let noticed = new Map();
// server's clock less this browser's; the two may differ by hours
let clockOffset = 0;
let drawing = false;

function serverTime(iso) {
  const at = Date.parse(iso);
  if (!Number.isNaN(at)) {
    clockOffset = at - Date.now();
  }
}

function onEvent(event, data) {
  const record = JSON.parse(data);
  if (event === "entry") {
    records.apply(record);
  } else if (event === "state") {
    records.applyState(record);
    announceNotices();
  } else if (event === "caughtup") {
    serverTime(record.at);
    if (!records.caughtUp) {
      records.caughtUp = true;
      announce(true);
    }
  }
  draw();
}

/** Tells screen readers of failures that came after the page was loaded. */
function announce(silently) {
  const fresh = [...records.testSets.keys()].flatMap((id) => records.verdicts(id))
    .filter((v) => failed(v.state) && !announced.has(v.id));
  fresh.forEach((v) => announced.add(v.id));
  if (fresh.length > 0 && !silently) {
    part("alert").textContent = fresh.map((v) => `Failed: ${v.sentence}`).join(" ");
  }
}

/** Tells screen readers of each trouble of the bridge when it begins. */
function announceNotices() {
  const now = new Map(noticeTexts(records));
  const fresh = [...now].filter(([concern, text]) => noticed.get(concern) !== text).map(([, text]) => text);
  noticed = now;
  if (fresh.length > 0) {
    part("alert").textContent = fresh.join(". ");
  }
}

function onLink() {
  if (!feed.link.live && feed.link.heard !== null && !document.body.classList.contains("lost")) {
    part("alert").textContent = "Connection to the bridge lost.";
  }
  document.body.classList.toggle("lost", !feed.link.live && feed.link.lostSince !== null);
  draw();
}

function startAnew() {
  records = new Records();
  announced = new Set();
  noticed = new Map();
  chosen = "";
  closeDetail();
  show(part("stations"));
  show(part("loose"));
}

// A timer and not an animation frame: those stop while the page is hidden.
function draw() {
  if (!drawing) {
    drawing = true;
    setTimeout(drawNow, 60);
  }
}

function drawNow() {
  drawing = false;
  const now = Date.now();
  const serverNow = now + clockOffset;
  show(part("top"), topLine(records, feed.link, now));
  show(part("notices"), notices(records));
  if (records.caughtUp) {
    announce(false);
    show(part("stations"), stations(records, serverNow, feed.link.live));
    show(part("testset"), testSet(records, chosen, serverNow));
    show(part("loose"), loose(records, serverNow));
  } else {
    // half of a history would show as present what a later record has replaced
    show(part("testset"), h("h2", { id: "testset-title" }, "Reading the journal"),
      h("p", { class: "quiet" }, `${records.count} entries so far`));
  }
  const select = part("choose-set");
  if (select && select.value !== chosen) {
    select.value = chosen;
  }
  if (detail) {
    drawDetail(now);
  }
}

function drawDetail(now) {
  const lost = lostLine(feed.link, now);
  const set = records.testSets.get(detail.set);
  const verdict = records.verdicts(detail.set).find((v) => v.id === detail.verdict);
  const step = set.opened.plan.find((s) => s.id === detail.step);
  const content = step ? stepDetail(records, set, step, lost) : verdict && verdictDetail(records, verdict, lost);
  // a verdict that a newer one has replaced stays as it was last shown
  if (content) {
    show(part("detail-body"), content);
  }
}

function openDetail(which) {
  detail = { set: chosenSet(records, chosen).id, ...which };
  drawDetail(Date.now());
  part("detail").showModal();
  part("detail").scrollTop = 0;
}

function closeDetail() {
  part("detail").close();
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (event.target === part("detail") || button?.hasAttribute("data-close")) {
    closeDetail();
  } else if (button?.dataset.step) {
    openDetail({ step: button.dataset.step });
  } else if (button?.dataset.verdict) {
    openDetail({ verdict: button.dataset.verdict });
  }
});
document.addEventListener("change", (event) => {
  if (event.target.id === "choose-set") {
    chosen = event.target.value;
    drawNow();
  }
});
part("detail").addEventListener("close", () => {
  detail = null;
});

const feed = new Feed("/events", { onEvent, onServerTime: serverTime, onOtherJournal: startAnew, onLink });
feed.start();
setInterval(draw, 1000);
draw();

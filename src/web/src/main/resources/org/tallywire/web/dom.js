// Building and updating the document. Text from instruments is hostile: it only ever becomes text
// nodes and values of the attributes listed here.

const SVG = "http://www.w3.org/2000/svg";

/** Makes an element; a child is an element, a text, or nothing (null, false). */
export function h(tag, attributes, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (value !== null && value !== undefined && value !== false) {
      element.setAttribute(name, value === true ? "" : value);
    }
  }
  const shown = children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false);
  element.append(...shown.map((c) => (c instanceof Node ? c : visible(String(c)))));
  return element;
}

/** Text with a question mark for each character that would not be seen, or would turn the line round. */
function visible(text) {
  return text.replaceAll(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/gu, "?");
}

// Each state has a shape of its own, so that colour is never the only sign.
const SHAPES = {
  pass: [["circle", { cx: 8, cy: 8, r: 7, class: "fill" }], ["path", { d: "M4.5 8.2 7 10.7 11.5 5.5", class: "cut" }]],
  "conditional-pass": [["circle", { cx: 8, cy: 8, r: 6.2, class: "line" }], ["path", { d: "M8 1.8a6.2 6.2 0 0 0 0 12.4z", class: "fill" }]],
  "conditional-fail": [["path", { d: "M8 1.5 15 14.2H1z", class: "line" }], ["path", { d: "M8 6v4M8 11.4v1.4", class: "line" }]],
  fail: [["rect", { x: 1, y: 1, width: 14, height: 14, class: "fill" }], ["path", { d: "m4.5 4.5 7 7m0-7-7 7", class: "cut" }]],
  undecided: [["path", { d: "M8 1 15 8 8 15 1 8z", class: "line" }], ["path", { d: "M8 4.6v4M8 10v1.4", class: "line" }]],
  awaited: [["circle", { cx: 8, cy: 8, r: 6.2, class: "dash" }]],
  judging: [["circle", { cx: 8, cy: 8, r: 6.2, class: "line" }], ["path", { d: "M8 4v4.4l2.6 1.8", class: "line" }]],
  good: [["circle", { cx: 8, cy: 8, r: 6, class: "fill" }]],
  busy: [["circle", { cx: 8, cy: 8, r: 6, class: "dash" }]],
  old: [["path", { d: "M8 1.5 15 14.2H1z", class: "fill" }]],
  bad: [["rect", { x: 1, y: 1, width: 14, height: 14, class: "fill" }], ["path", { d: "m4.5 4.5 7 7m0-7-7 7", class: "cut" }]],
  unknown: [["path", { d: "M2 8h12", class: "line" }]],
};

/** Draws the shape of a state; the word for it stands beside it. */
export function shape(name) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", "0 0 16 16");
  svg.setAttribute("class", "shape");
  svg.setAttribute("aria-hidden", "true");
  for (const [tag, attributes] of SHAPES[name] ?? SHAPES.unknown) {
    const part = document.createElementNS(SVG, tag);
    for (const [key, value] of Object.entries(attributes)) {
      part.setAttribute(key, value);
    }
    svg.append(part);
  }
  return svg;
}

/** Makes the children of a live element like the given ones, keeping what is alike, and so focus. */
export function show(live, ...children) {
  morphChildren(live, h("div", null, ...children));
}

function morphChildren(live, wanted) {
  const next = [...wanted.childNodes];
  while (live.childNodes.length > next.length) {
    live.lastChild.remove();
  }
  next.forEach((node, index) => {
    const old = live.childNodes[index];
    if (!old) {
      live.append(node);
    } else if (!alike(old, node)) {
      old.replaceWith(node);
    } else if (node.nodeType === Node.TEXT_NODE) {
      if (old.data !== node.data) {
        old.data = node.data;
      }
    } else {
      morphAttributes(old, node);
      morphChildren(old, node);
    }
  });
}

function alike(old, node) {
  return old.nodeType === node.nodeType
    && old.nodeName === node.nodeName
    && (node.nodeType !== Node.ELEMENT_NODE || old.getAttribute("data-key") === node.getAttribute("data-key"));
}

function morphAttributes(old, node) {
  for (const { name } of [...old.attributes]) {
    if (!node.hasAttribute(name)) {
      old.removeAttribute(name);
    }
  }
  for (const { name, value } of node.attributes) {
    if (old.getAttribute(name) !== value) {
      old.setAttribute(name, value);
    }
  }
}

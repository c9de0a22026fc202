// Shows a time and its values under the pointer, and marks a span of time, in all plots at once.
"use strict";
(() => {
  const data = JSON.parse(document.getElementById("figures").textContent);
  const plots = [...document.querySelectorAll(".plot")];
  const ground = document.querySelector("#ground svg");
  const made = (name, svg, kind) => {
    const element = document.createElementNS("http://www.w3.org/2000/svg", name);
    element.setAttribute("class", kind);
    element.style.display = "none";
    svg.append(element);
    return element;
  };
  for (const plot of plots) {
    const svg = plot.querySelector("svg");
    plot.span = made("rect", svg, "span");
    plot.hand = made("line", svg, "hand");
    plot.numbers = Object.fromEntries(Object.entries(plot.dataset).filter(([name]) => name !== "key").map(([name, value]) => [name, Number(value)]));
  }
  const part = ground && made("path", ground, "part");
  const hints = new Map([...document.querySelectorAll("output")].map((output) => [output, output.textContent]));
  const length = Math.max(60, data.until - data.from);
  const buckets = Math.max(1, Math.ceil(length / data.every));
  const two = (number) => String(number).padStart(2, "0");
  const moment = (second) => {
    const told = (ahead, name) => {
      const date = new Date((data.from + second + ahead) * 1000);
      return `${two(date.getUTCHours())}:${two(date.getUTCMinutes())} ${name}`;
    };
    const date = new Date((data.from + second + data.ahead) * 1000).toISOString().slice(0, 10);
    const local = told(data.ahead, data.zone);
    return `${date} ${local}` + (data.zone === "UTC" ? "" : ` (${told(0, "UTC")})`);
  };
  const x = (plot, second) => plot.numbers.left + Math.min(1, Math.max(0, second / length)) * (plot.numbers.right - plot.numbers.left);
  const values = (series, from, to) => {
    const known = [];
    for (let index = from; index <= to; index += 1) if (series.values[index]) known.push(series.values[index]);
    if (known.length === 0) return `${series.name} not known`;
    const shown = (number) => number.toFixed(series.digits);
    if (series.compass) {
      const sum = known.reduce(([s, c], [, mean]) => [s + Math.sin(mean * Math.PI / 180), c + Math.cos(mean * Math.PI / 180)], [0, 0]);
      const mean = Math.round(Math.atan2(sum[0], sum[1]) * 180 / Math.PI + 360) % 360;
      return `${series.name} ${String(mean).padStart(3, "0")}°`;
    }
    const least = Math.min(...known.map((value) => value[0]));
    const greatest = Math.max(...known.map((value) => value[2]));
    const mean = known.reduce((sum, value) => sum + value[1], 0) / known.length;
    const range = shown(least) === shown(greatest) ? "" : `, ${shown(least)} to ${shown(greatest)}`;
    return `${series.name} ${shown(mean)}${series.unit}${range}`;
  };
  const tell = (from, to) => {
    const begin = from * data.every;
    const end = Math.min(length, (to + 1) * data.every);
    const when = from === to ? moment(begin) : `${moment(begin)} to ${moment(end)}`;
    for (const output of hints.keys()) {
      const series = data.plots[output.dataset.key] || [];
      output.textContent = `${when}: ${series.map((one) => values(one, from, to)).join("; ")}`;
    }
  };
  const set = (element, numbers) => {
    for (const [name, value] of Object.entries(numbers)) element.setAttribute(name, value);
    element.style.display = "";
  };
  let at = 0;
  let span = null;
  const point = (index) => {
    at = Math.min(buckets - 1, Math.max(0, index));
    for (const plot of plots) {
      const place = x(plot, (at + 0.5) * data.every);
      set(plot.hand, { x1: place, x2: place, y1: plot.numbers.top, y2: plot.numbers.bottom });
    }
    if (!span) tell(at, at);
  };
  const choose = (one, other) => {
    span = [Math.min(one, other), Math.max(one, other)];
    const [begin, end] = [span[0] * data.every, (span[1] + 1) * data.every];
    for (const plot of plots) {
      const left = x(plot, begin);
      set(plot.span, { x: left, width: x(plot, end) - left, y: plot.numbers.top, height: plot.numbers.bottom - plot.numbers.top });
    }
    if (part) {
      const pieces = data.track.map((piece) => piece.filter(([second]) => second >= begin && second <= end));
      set(part, { d: pieces.map((piece) => piece.map(([, east, south], index) => `${index ? "L" : "M"}${east} ${south}`).join("")).join("") });
    }
    tell(span[0], span[1]);
  };
  const clear = () => {
    span = null;
    for (const plot of plots) plot.span.style.display = "none";
    if (part) part.style.display = "none";
  };
  const rest = () => {
    for (const plot of plots) plot.hand.style.display = "none";
    if (!span) for (const [output, hint] of hints) output.textContent = hint;
  };
  for (const plot of plots) {
    let pressed = null;
    const index = (event) => {
      const box = plot.querySelector("svg").getBoundingClientRect();
      const place = ((event.clientX - box.left) / box.width) * plot.numbers.width;
      const part = (place - plot.numbers.left) / (plot.numbers.right - plot.numbers.left);
      return Math.min(buckets - 1, Math.max(0, Math.floor((Math.min(1, Math.max(0, part)) * length) / data.every)));
    };
    plot.addEventListener("pointermove", (event) => {
      point(index(event));
      if (pressed !== null && at !== pressed) choose(pressed, at);
    });
    plot.addEventListener("pointerdown", (event) => {
      clear();
      pressed = index(event);
      plot.setPointerCapture(event.pointerId);
      point(pressed);
    });
    plot.addEventListener("pointerup", () => { pressed = null; });
    plot.addEventListener("pointercancel", () => { pressed = null; });
    plot.addEventListener("pointerleave", rest);
    plot.addEventListener("blur", rest);
    plot.addEventListener("keydown", (event) => {
      if (event.key === "Escape") { clear(); rest(); return; }
      const step = { ArrowLeft: -1, ArrowRight: 1, PageUp: -20, PageDown: 20 }[event.key];
      if (!step) return;
      event.preventDefault();
      const before = at;
      point(at + step);
      if (event.shiftKey) choose(span ? (span[0] === before ? span[1] : span[0]) : before, at); else { clear(); tell(at, at); }
    });
  }
})();


"use strict";
// Plays one shift: every unit in its bay or slot, minute by minute. It moves only while somebody lets it.
(function () {
  var replay = document.querySelector(".replay");
  if (!replay) { return; }
  // Seconds of the shift in a second.
  var SPEEDS = [30, 60, 120, 300, 600, 1200, 3600];
  // Boxes that are drawn one by one, at most.
  var MOST = { bays: 60, slots: 8 };
  var starts = Number(replay.dataset.starts);
  var lasts = Number(replay.dataset.lasts);
  var stage = replay.querySelector(".stage");
  var button = replay.querySelector(".play");
  var speed = replay.querySelector(".speed");
  var when = replay.querySelector(".when");
  var status = replay.querySelector(".status");
  var stops = {};
  var units = {};
  var moves = [];
  var now = 0;
  var next = 0;
  var done = 0;
  var playing = false;
  var last = 0;

  function two(n) { return (n < 10 ? "0" : "") + n; }
  function clock(at) {
    var minutes = Math.floor((starts + at) / 60) % 1440;
    return two(Math.floor(minutes / 60)) + ":" + two(minutes % 60);
  }
  function boxes(cells, kind, count) {
    var all = [];
    for (var k = 0; k < Math.min(count, MOST[kind]); k += 1) {
      var box = document.createElement("i");
      box.className = kind;
      cells.appendChild(box);
      all.push(box);
    }
    return all;
  }
  replay.querySelectorAll(".stop").forEach(function (stop) {
    var cells = stop.querySelector(".cells");
    // The slot next to the bay is the first.
    var slots = boxes(cells, "slots", Number(stop.dataset.slots)).reverse();
    stops[stop.dataset.at] = {
      slots: slots, bays: boxes(cells, "bays", Number(stop.dataset.bays)), queue: [], outside: 0,
      off: stop.classList.contains("repair"),
      said: stop.querySelector(".outside")
    };
  });
  (function () {
    var at = 0;
    replay.dataset.moves.split(" ").filter(Boolean).forEach(function (text) {
      var part = text.split(":");
      at += Number(part[0]);
      moves.push({ at: at, unit: part[1], place: part[2], spot: part[3] });
    });
  }());

  function leave(unit) {
    var from = units[unit];
    var stop = from && stops[from.place];
    if (stop && from.spot === "s") { stop.queue.splice(stop.queue.indexOf(unit), 1); }
    if (stop && from.spot === "o") { stop.outside -= 1; }
  }
  function put(unit, place, spot) {
    leave(unit);
    var chip = units[unit] && units[unit].chip;
    if (spot === "f" || spot === "g") {
      if (spot === "f") { done += 1; }
      if (chip) { chip.remove(); }
      delete units[unit];
      return;
    }
    if (!chip) {
      chip = document.createElement("span");
      chip.className = "unit";
      chip.textContent = unit;
      chip.setAttribute("aria-hidden", "true");
      stage.appendChild(chip);
    }
    units[unit] = { chip: chip, place: place, spot: spot };
    var stop = stops[place];
    if (stop && spot === "s") { stop.queue.push(unit); }
    if (stop && spot === "o") { stop.outside += 1; }
  }
  function back() {
    Object.keys(units).forEach(function (unit) { units[unit].chip.remove(); });
    units = {};
    Object.keys(stops).forEach(function (place) { stops[place].queue = []; stops[place].outside = 0; });
    next = 0;
    done = 0;
    replay.dataset.standing.split(" ").filter(Boolean).forEach(function (text) {
      var part = text.split(":");
      put(part[0], part[1], part[2]);
    });
  }
  function draw() {
    var on = 0;
    Object.keys(units).forEach(function (unit) {
      var at = units[unit];
      var stop = stops[at.place];
      var box = stop && (at.spot === "s" ? stop.slots[stop.queue.indexOf(unit)] : stop.bays[Number(at.spot)]);
      at.chip.hidden = !box;
      if (box) {
        at.chip.style.transform = "translate(" + box.offsetLeft + "px," + box.offsetTop + "px)";
        at.chip.style.width = box.offsetWidth + "px";
      }
      if (at.spot !== "o" && !(stop && stop.off)) { on += 1; }
    });
    Object.keys(stops).forEach(function (place) {
      var stop = stops[place];
      var waits = stop.outside + Math.max(0, stop.queue.length - stop.slots.length);
      stop.said.textContent = waits ? "and " + waits + " before it" : "";
    });
    replay.querySelector(".clock strong").textContent = clock(now);
    replay.querySelector(".done").textContent = String(done);
    replay.querySelector(".on").textContent = String(on);
    when.value = String(now);
    when.setAttribute("aria-valuetext", clock(now));
  }
  function go(to) {
    to = Math.max(0, Math.min(lasts, to));
    if (to < now) { back(); }
    now = to;
    while (next < moves.length && moves[next].at <= now) {
      put(moves[next].unit, moves[next].place, moves[next].spot);
      next += 1;
    }
    draw();
  }
  function said() {
    status.textContent = "Stopped at " + clock(now) + ": " + done + " finished, " +
      replay.querySelector(".on").textContent + " on the line.";
  }
  function play(on) {
    playing = on;
    button.textContent = on ? "Stop" : "Play";
    if (on) {
      status.textContent = "";
      if (now >= lasts) { go(0); }
      last = performance.now();
      requestAnimationFrame(tick);
    } else {
      said();
    }
  }
  function tick(at) {
    if (!playing) { return; }
    go(now + Math.max(0, at - last) / 1000 * SPEEDS[Number(speed.value)]);
    last = at;
    if (now >= lasts) { play(false); } else { requestAnimationFrame(tick); }
  }
  function words() {
    var seconds = SPEEDS[Number(speed.value)];
    speed.setAttribute("aria-valuetext", (seconds < 60 ? seconds + " s" : seconds / 60 + " min") + " of the shift a second");
  }
  button.addEventListener("click", function () { play(!playing); });
  speed.addEventListener("input", words);
  when.addEventListener("input", function () { go(Number(when.value)); });
  stage.addEventListener("keydown", function (event) {
    var far = event.shiftKey ? 600 : 60;
    var steps = { ArrowRight: now + far, ArrowLeft: now - far, Home: 0, End: lasts };
    if (event.key === " ") {
      play(!playing);
    } else if (event.key in steps) {
      go(steps[event.key]);
      if (!playing) { said(); }
    } else {
      return;
    }
    event.preventDefault();
  });
  window.addEventListener("resize", draw);
  replay.hidden = false;
  back();
  words();
  go(0);
}());

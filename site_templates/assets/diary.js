/* The diary: picking among entries, and turning pages by keys and by a stroke of the finger. */
(function () {
  "use strict";

  /* --- Picking among entries; the choice stands in the address after "#". --- */

  function chosenInAddress() {
    var text = location.hash.slice(1);
    if (text.indexOf("=") < 0) return { kinds: [], tag: "" };
    var found = new URLSearchParams(text);
    return { kinds: (found.get("kind") || "").split(",").filter(Boolean), tag: found.get("tag") || "" };
  }

  function asAddress(choice) {
    var parts = [];
    if (choice.kinds.length) parts.push("kind=" + choice.kinds.join(","));
    if (choice.tag) parts.push("tag=" + encodeURIComponent(choice.tag));
    return parts.join("&");
  }

  function fits(element, choice) {
    var kinds = element.dataset.kinds.split(" ");
    var tags = element.dataset.tags.split("\n");
    var kindFits = !choice.kinds.length || choice.kinds.some(function (kind) { return kinds.indexOf(kind) >= 0; });
    return kindFits && (!choice.tag || tags.indexOf(choice.tag) >= 0);
  }

  function startFilter(form) {
    var boxes = [].slice.call(form.querySelectorAll("input[name=kind]"));
    var select = form.querySelector("select[name=tag]");
    var cells = [].slice.call(document.querySelectorAll(".jt-day [data-kinds]"));
    var rows = [].slice.call(document.querySelectorAll("[data-entry]"));
    var found = form.querySelector(".jt-filter__found");

    function read() {
      var kinds = boxes.filter(function (box) { return box.checked; }).map(function (box) { return box.value; });
      return { kinds: kinds, tag: select ? select.value : "" };
    }

    function fill(choice) {
      boxes.forEach(function (box) { box.checked = choice.kinds.indexOf(box.value) >= 0; });
      if (!select) return;
      var known = [].some.call(select.options, function (option) { return option.value === choice.tag; });
      if (!known) {
        /* A tag of another year: it stays in force, and this year has nothing of it. */
        select.add(new Option(choice.tag, choice.tag));
      }
      select.value = choice.tag;
    }

    function show(choice) {
      var any = choice.kinds.length > 0 || choice.tag !== "";
      cells.forEach(function (cell) { cell.closest("td").classList.toggle("jt-day--other", any && !fits(cell, choice)); });
      rows.forEach(function (row) { row.hidden = any && !fits(row, choice); });
      document.querySelectorAll(".jt-yearmonth").forEach(function (month) {
        month.hidden = !month.querySelector("[data-entry]:not([hidden])");
      });
      var listed = rows.length ? rows : cells;
      var left = listed.filter(function (one) { return !any || fits(one, choice); }).length;
      var noun = rows.length ? (left === 1 ? "entry" : "entries") : (left === 1 ? "day" : "days");
      found.textContent = any ? left + " of " + listed.length + " " + noun : "";
      var address = asAddress(choice);
      document.querySelectorAll("a[data-keeps-filter]").forEach(function (link) { link.hash = address; });
    }

    function changed() {
      var choice = read();
      show(choice);
      var address = asAddress(choice);
      history.replaceState(history.state, "", address ? "#" + address : location.pathname + location.search);
    }

    form.addEventListener("change", changed);
    form.addEventListener("reset", function () { setTimeout(changed, 0); });
    form.addEventListener("submit", function (event) { event.preventDefault(); });
    window.addEventListener("hashchange", function () {
      fill(chosenInAddress());
      show(read());
    });
    form.hidden = false;
    fill(chosenInAddress());
    show(read());
  }

  document.querySelectorAll("form[data-filter]").forEach(startFilter);

  /* --- Turning pages. --- */

  var WRITING = "input, textarea, select, button, summary, [contenteditable], [role=slider], dialog, .jt-strip, .jt-ribbon, .jt-scroll, .jt-live";

  /* The entry that the address names, as long as its head is in sight (the last of a page cannot
     come up to the top); else the one at the top of the window, or none above the first. */
  function entryInView(entries) {
    var named = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    var top = named ? named.getBoundingClientRect().top : -1;
    var found = -1;
    entries.forEach(function (entry, place) {
      if (entry.getBoundingClientRect().top < innerHeight * 0.3) found = place;
    });
    if (top >= 0 && top < innerHeight) found = Math.max(found, entries.indexOf(named.closest(".jt-entry")));
    return found;
  }

  function nextByKey(direction) {
    var entries = [].slice.call(document.querySelectorAll(".md-content .jt-entry"));
    var place = entryInView(entries);
    if (!entries.length || (place < 0 && direction === "prev")) return turnOfPage(direction);
    if (place < 0) return entries[0].querySelector("h2 a");
    return entries[place].querySelector(".jt-entry__turn a[rel=" + direction + "]");
  }

  function turnOfPage(direction) {
    return document.querySelector(".jt-turn a[rel=" + direction + "]");
  }

  function follow(link) {
    if (link) link.click();
    return Boolean(link);
  }

  document.addEventListener("keydown", function (event) {
    var direction = { ArrowLeft: "prev", ArrowRight: "next" }[event.key];
    if (!direction || event.defaultPrevented || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    var place = event.target;
    if (place.closest && place.closest(WRITING)) return;
    if (document.querySelector("dialog[open]")) return;
    if (follow(nextByKey(direction))) event.preventDefault();
  });

  var begun = null;

  function sidewaysBox(element) {
    for (var box = element; box && box !== document.body; box = box.parentElement) {
      if (box.scrollWidth > box.clientWidth + 1 && /auto|scroll/.test(getComputedStyle(box).overflowX)) return true;
    }
    return false;
  }

  document.addEventListener("touchstart", function (event) {
    var touch = event.touches[0];
    var free = event.touches.length === 1 && !event.target.closest("dialog, input, select, .jt-film") && !sidewaysBox(event.target);
    begun = free && (turnOfPage("prev") || turnOfPage("next")) ? { x: touch.clientX, y: touch.clientY, at: event.timeStamp } : null;
  }, { passive: true });

  document.addEventListener("touchend", function (event) {
    if (!begun) return;
    var touch = event.changedTouches[0];
    var across = touch.clientX - begun.x;
    var along = Math.abs(touch.clientY - begun.y);
    var quick = event.timeStamp - begun.at < 800;
    var zoomed = window.visualViewport && window.visualViewport.scale > 1.05;
    begun = null;
    if (quick && !zoomed && Math.abs(across) > 70 && Math.abs(across) > 2.5 * along) {
      follow(turnOfPage(across < 0 ? "next" : "prev"));
    }
  }, { passive: true });
})();

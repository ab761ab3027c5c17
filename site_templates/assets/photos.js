/* Photos: a large view over the page, stepping through a series, two days side by side. */
(function () {
  "use strict";

  var still = window.matchMedia("(prefers-reduced-motion: reduce)");

  function element(name, properties, children) {
    var made = Object.assign(document.createElement(name), properties);
    (children || []).forEach(function (child) { made.appendChild(child); });
    return made;
  }

  /* --- The large view. --- */

  var photos = [].slice.call(document.querySelectorAll("a.jt-photo__open"));
  var links = photos;
  var box = null;
  var shown = 0;

  function makeBox() {
    var picture = element("img", { className: "jt-box__picture", alt: "" });
    var words = element("p", { className: "jt-box__words" });
    words.setAttribute("aria-live", "polite");
    var button = function (label, name, act) {
      var made = element("button", { type: "button", className: "jt-box__" + name, textContent: label });
      made.addEventListener("click", act);
      return made;
    };
    var earlier = button("Previous", "prev", function () { step(-1); });
    var later = button("Next", "next", function () { step(1); });
    var close = button("Close", "close", function () { box.dialog.close(); });
    var tools = element("div", { className: "jt-box__tools" }, [earlier, later, close]);
    var dialog = element("dialog", { className: "jt-box" }, [picture, words, tools]);
    dialog.setAttribute("aria-label", "Photo");
    dialog.addEventListener("keydown", function (event) {
      if (event.key === "ArrowLeft") step(-1);
      else if (event.key === "ArrowRight") step(1);
      else if (event.key === "Home") show(0);
      else if (event.key === "End") show(links.length - 1);
      else return;
      event.preventDefault();
    });
    dialog.addEventListener("click", function (event) {
      if (event.target === dialog) dialog.close();
    });
    dialog.addEventListener("close", function () {
      picture.removeAttribute("src");
      document.documentElement.classList.remove("jt-box-open");
      links[shown].focus();
    });
    var from = null;
    dialog.addEventListener("touchstart", function (event) {
      from = event.touches.length === 1 ? event.touches[0].clientX : null;
    }, { passive: true });
    dialog.addEventListener("touchend", function (event) {
      var across = from === null ? 0 : event.changedTouches[0].clientX - from;
      var zoomed = window.visualViewport && window.visualViewport.scale > 1.05;
      if (!zoomed && Math.abs(across) > 50) step(across < 0 ? 1 : -1);
    }, { passive: true });
    document.body.appendChild(dialog);
    return { dialog: dialog, picture: picture, words: words, earlier: earlier, later: later };
  }

  function step(by) {
    var next = shown + by;
    if (next >= 0 && next < links.length) show(next);
  }

  function show(place) {
    shown = place;
    var link = links[place];
    var small = link.querySelector("img");
    var caption = link.closest("figure").querySelector("figcaption");
    box.picture.width = small.getAttribute("width");
    box.picture.height = small.getAttribute("height");
    box.picture.src = link.href;
    box.picture.alt = small.alt;
    box.words.innerHTML = "";
    if (caption) {
      [].forEach.call(caption.childNodes, function (part) { box.words.appendChild(part.cloneNode(true)); });
    }
    box.words.appendChild(element("span", { className: "jt-box__place", textContent: place + 1 + " of " + links.length }));
    box.earlier.disabled = place === 0;
    box.later.disabled = place === links.length - 1;
    /* The focus must not be left on a button that can no longer be pressed. */
    if (box.dialog.open && document.activeElement && document.activeElement.disabled) box.dialog.querySelector("button:not([disabled])").focus();
    [place - 1, place + 1].forEach(function (near) {
      if (links[near]) new Image().src = links[near].href;
    });
  }

  /* A series is looked through by itself, all other photos of the page together. */
  function alike(link) {
    var strip = link.closest(".jt-strip");
    return photos.filter(function (other) { return other.closest(".jt-strip") === strip; });
  }

  function open(link) {
    box = box || makeBox();
    links = alike(link);
    show(links.indexOf(link));
    box.dialog.showModal();
    document.documentElement.classList.add("jt-box-open");
    (box.later.disabled ? box.dialog.querySelector(".jt-box__close") : box.later).focus();
  }

  if (typeof HTMLDialogElement === "function") {
    photos.forEach(function (link) {
      link.addEventListener("click", function (event) {
        if (event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
        event.preventDefault();
        open(link);
      });
    });
  }

  /* --- Stepping through a series. --- */

  function framesOf(series) {
    return [].map.call(series.querySelectorAll("[data-frame]"), function (frame) {
      var small = frame.querySelector("img");
      var caption = frame.querySelector("figcaption").firstChild;
      return {
        large: frame.querySelector("a.jt-photo__open").href,
        small: small.getAttribute("src"),
        sources: frame.querySelector("source").getAttribute("srcset"),
        width: small.getAttribute("width"),
        height: small.getAttribute("height"),
        alt: small.alt,
        day: frame.dataset.day,
        words: caption ? caption.textContent.trim() : "",
        readings: JSON.parse(frame.dataset.readings),
      };
    });
  }

  function startFilm(film, frames) {
    var picture = film.querySelector("img");
    var range = film.querySelector("input[type=range]");
    var words = film.querySelector(".jt-film__words");
    var play = film.querySelector("[data-play]");
    var place = 0;
    var timer = 0;
    var waiting = 0;

    function to(next) {
      place = Math.max(0, Math.min(frames.length - 1, next));
      var frame = frames[place];
      var load = new Image();
      var mine = (waiting += 1);
      load.onload = load.onerror = function () {
        if (mine !== waiting) return;
        picture.src = frame.large;
        picture.alt = frame.alt;
      };
      load.src = frame.large;
      if (frames[place + 1]) new Image().src = frames[place + 1].large;
      range.value = place;
      range.setAttribute("aria-valuetext", frame.day);
      words.textContent = frame.day + (frame.words && frame.words !== frame.day ? ": " + frame.words : "");
    }

    function stop() {
      clearInterval(timer);
      timer = 0;
      play.textContent = "Play";
      play.setAttribute("aria-pressed", "false");
      words.setAttribute("aria-live", "polite");
    }

    function start() {
      if (place === frames.length - 1) to(0);
      /* Two pictures a second would flood a reader of the words. */
      words.setAttribute("aria-live", "off");
      play.textContent = "Stop";
      play.setAttribute("aria-pressed", "true");
      timer = setInterval(function () {
        if (place === frames.length - 1) stop();
        else to(place + 1);
      }, 500);
    }

    film.querySelectorAll("[data-step]").forEach(function (button) {
      button.addEventListener("click", function () {
        stop();
        to(place + Number(button.dataset.step));
      });
    });
    range.addEventListener("input", function () {
      stop();
      to(Number(range.value));
    });
    play.addEventListener("click", function () { if (timer) stop(); else start(); });
    function calm() {
      play.hidden = still.matches;
      if (still.matches) stop();
    }
    still.addEventListener("change", calm);
    calm();
    film.hidden = false;
    words.textContent = frames[0].day + (frames[0].words ? ": " + frames[0].words : "");
    range.setAttribute("aria-valuetext", frames[0].day);
  }

  /* --- Two days side by side. --- */

  /* As the pages write numbers: rounded, with a narrow space between thousands. */
  function number(value, decimals) {
    var step = Math.pow(10, Math.max(0, -decimals));
    var rounded = decimals < 0 ? Math.round(value / step) * step : value;
    var parts = Math.abs(rounded).toFixed(Math.max(0, decimals)).split(".");
    parts[0] = parts[0].replace(/\B(?=(\d{3})+$)/g, "\u202f");
    var text = parts.join(".");
    return (value < 0 && /[1-9]/.test(text) ? "\u2212" : "") + text;
  }

  function between(frames, name, row) {
    var count = 0;
    var low = Infinity;
    var high = -Infinity;
    frames.forEach(function (frame) {
      var span = frame.readings[name];
      if (!span[1]) return;
      count += span[1];
      low = Math.min(low, span[2]);
      high = Math.max(high, span[3]);
    });
    if (!count) return "no tests";
    var decimals = Number(row.dataset.decimals);
    var unit = row.dataset.unit ? " " + row.dataset.unit : "";
    return count + (count === 1 ? " test, " : " tests, ") + number(low, decimals) + " to " + number(high, decimals) + unit;
  }

  function startCompare(details, frames) {
    var selects = [].slice.call(details.querySelectorAll("select[data-side]"));
    var sides = [].slice.call(details.querySelectorAll("[data-shown]"));
    var pair = details.querySelector(".jt-compare__pair");
    var over = details.querySelector("[data-over]");
    var slide = details.querySelector("[data-slide]");

    function fill() {
      var places = selects.map(function (select) { return Number(select.value); });
      sides.forEach(function (side, which) {
        var frame = frames[places[which]];
        var image = side.querySelector("img");
        side.querySelector("source").setAttribute("srcset", frame.sources);
        image.src = frame.small;
        image.alt = frame.alt;
        image.width = frame.width;
        image.height = frame.height;
        side.querySelector("p").textContent = frame.day;
      });
      var first = Math.min(places[0], places[1]);
      var last = Math.max(places[0], places[1]);
      details.querySelectorAll("[data-parameter]").forEach(function (row) {
        var name = row.dataset.parameter;
        var cells = row.querySelectorAll("td");
        cells[0].textContent = frames[places[0]].readings[name][0];
        cells[1].textContent = between(frames.slice(first + 1, last + 1), name, row);
        cells[2].textContent = frames[places[1]].readings[name][0];
      });
    }

    function lay() {
      pair.classList.toggle("jt-compare__pair--over", over.checked);
      slide.closest("label").hidden = !over.checked;
      pair.style.setProperty("--jt-share", slide.value + "%");
    }

    selects.forEach(function (select) { select.addEventListener("change", fill); });
    over.addEventListener("change", lay);
    slide.addEventListener("input", lay);
    details.querySelector(".jt-compare__tools").hidden = false;
    /* A browser that comes back to the page may keep what was chosen before. */
    fill();
    lay();
  }

  document.querySelectorAll("[data-series]").forEach(function (series) {
    var frames = framesOf(series);
    startFilm(series.querySelector("[data-film]"), frames);
    startCompare(series.querySelector("[data-compare]"), frames);
  });
})();

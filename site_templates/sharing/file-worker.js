/* Search on pages opened from a folder. Browsers start no Worker there, so one is made of a hidden
   frame of the same page: it runs the theme's own search script and talks to it by the same two
   calls, postMessage and onmessage. Nothing happens where a real Worker can start. */
(function () {
  "use strict";
  if (location.protocol !== "file:") { return; }

  function FileWorker(address) {
    var worker = this;
    var waiting = [];
    var listeners = [];
    var frame = document.createElement("iframe");
    frame.hidden = true;
    frame.title = "search";
    worker.onmessage = null;
    document.body.appendChild(frame);

    var room = frame.contentWindow;
    room.document.open();
    room.document.close();
    room.importScripts = function () {
      return Array.from(arguments).reduce(function (before, script) {
        return before.then(function () { return load(new URL(script, address).href); });
      }, Promise.resolve());
    };
    room.postMessage = function (data) {
      var event = new MessageEvent("message", { data: data });
      if (typeof worker.onmessage === "function") { worker.onmessage(event); }
      listeners.forEach(function (listener) { listener.call(worker, event); });
    };

    function load(source) {
      return new Promise(function (resolve, reject) {
        var script = room.document.createElement("script");
        script.src = source;
        script.onload = resolve;
        script.onerror = reject;
        room.document.head.appendChild(script);
      });
    }

    function deliver(data) {
      room.dispatchEvent(new room.MessageEvent("message", { data: data }));
    }

    worker.postMessage = function (data) {
      if (waiting) { waiting.push(data); } else { deliver(data); }
    };
    worker.addEventListener = function (kind, listener) {
      if (kind === "message") { listeners.push(listener); }
    };
    worker.removeEventListener = function (kind, listener) {
      listeners = listeners.filter(function (one) { return one !== listener; });
    };
    worker.terminate = function () { frame.remove(); };

    load(String(address)).then(function () {
      var sent = waiting;
      waiting = null;
      sent.forEach(deliver);
    });
  }

  window.Worker = FileWorker;
  /* By this name the theme's script knows that it runs in a frame. */
  window.IFrameWorker = FileWorker;
})();

/* Interactive charts on demand: nothing is loaded before a reader asks for it. */
(function () {
  "use strict";
  var specifications = {};
  var loading = {};

  window.journalChart = function (name, specification) {
    specifications[name] = specification;
  };

  function load(address) {
    if (!loading[address]) {
      loading[address] = new Promise(function (resolve, reject) {
        var script = document.createElement("script");
        script.src = address;
        script.onload = resolve;
        script.onerror = function () {
          delete loading[address];
          script.remove();
          reject();
        };
        document.head.appendChild(script);
      });
    }
    return loading[address];
  }

  function open(button) {
    var name = button.dataset.chart;
    button.disabled = true;
    Promise.all([load(button.dataset.vega), load(button.dataset.src)])
      .then(function () {
        var drawing = button.closest("figure").querySelector(".jt-chart");
        var stage = document.createElement("div");
        stage.className = "jt-live";
        drawing.hidden = true;
        drawing.after(stage);
        var shape = stage.clientWidth < 580 ? "narrow" : "wide";
        return window.vegaEmbed(stage, specifications[name][shape], { ast: true, actions: false, renderer: "svg", defaultStyle: false });
      })
      .then(function () { button.remove(); })
      .catch(function () {
        button.disabled = false;
        button.textContent = "The chart could not be loaded. Try again";
      });
  }

  document.querySelectorAll("button[data-chart]").forEach(function (button) {
    button.hidden = false;
    button.addEventListener("click", function () { open(button); });
  });
})();

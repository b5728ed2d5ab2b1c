// Filters over the findings: by level, when, at stake and who mends it. Without script they are not there; nothing is lost.
(function () {
  var schedule = document.querySelector("#sheet-findings .schedule");
  var findings = Array.prototype.slice.call(document.querySelectorAll("article.f"));
  if (!schedule || !findings.length) return;
  var kinds = [["level", "Where"], ["when", "When"], ["stake", "At stake"], ["who", "Who mends it"]];
  var words = {};
  function plain(code) { return words[code] || code.replace(/_/g, " "); }
  document.querySelectorAll(".nav .sub a").forEach(function (a) { words[a.getAttribute("href").slice(7)] = a.textContent; });
  document.querySelectorAll(".f-side p").forEach(function (p) {
    var glyph = p.querySelector("i.g"), code = glyph && /g-(?:when|stake)-(\w+)/.exec(glyph.className);
    if (code) words[code[1]] = p.textContent.trim();
  });
  var form = document.createElement("form");
  form.className = "filters";
  form.setAttribute("aria-label", "Show some of the findings");
  var picks = {}, said = document.createElement("p");
  said.setAttribute("role", "status");
  kinds.forEach(function (kind) {
    var seen = [];
    findings.forEach(function (f) {
      (f.dataset[kind[0]] || "").split(" ").forEach(function (code) { if (code && seen.indexOf(code) < 0) seen.push(code); });
    });
    if (seen.length < 2) return;
    var label = document.createElement("label"), pick = document.createElement("select");
    label.textContent = kind[1] + " ";
    [""].concat(seen).forEach(function (code) { pick.add(new Option(code ? plain(code) : "all", code)); });
    pick.addEventListener("change", show);
    label.appendChild(pick);
    form.appendChild(label);
    picks[kind[0]] = pick;
  });
  function show() {
    var left = 0;
    findings.forEach(function (f) {
      var hidden = Object.keys(picks).some(function (kind) {
        var want = picks[kind].value;
        return want && (" " + f.dataset[kind] + " ").indexOf(" " + want + " ") < 0;
      });
      f.classList.toggle("out", hidden);
      [f].concat(Array.prototype.slice.call(f.querySelectorAll(".also li"))).forEach(function (one) {
        var link = schedule.querySelector('th a[href="#' + one.id + '"]');
        if (link) link.closest("tr").classList.toggle("out", hidden);
      });
      left += hidden ? 0 : 1;
    });
    said.textContent = left === findings.length ? "" : left + " of " + findings.length + " are shown.";
  }
  form.appendChild(said);
  schedule.parentNode.insertBefore(form, schedule);
})();

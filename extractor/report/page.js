"use strict";
// Plays the recording from a second before a row's words, and shows the words as it runs.
(function () {
  var LEAD_S = 1, AROUND = 14;
  var players = Array.prototype.slice.call(document.querySelectorAll(".player audio, .player video"));
  var line = document.getElementById("words-now");
  var spoken = JSON.parse(document.getElementById("words-data").textContent);

  players.forEach(function (player) {
    var held = document.getElementById("recording-data-" + player.dataset.source);
    if (!held) { return; }
    var raw = atob(held.textContent.trim()), bytes = new Uint8Array(raw.length);
    for (var at = 0; at < raw.length; at += 1) { bytes[at] = raw.charCodeAt(at); }
    player.src = URL.createObjectURL(new Blob([bytes], { type: held.dataset.type }));
  });

  function lastBefore(words, time) {
    var low = 0, high = words.length;
    while (low < high) {
      var middle = (low + high) >> 1;
      if (words[middle][0] <= time) { low = middle + 1; } else { high = middle; }
    }
    return low - 1;
  }

  function show(player) {
    var words = spoken[player.dataset.source] || [], now = lastBefore(words, player.currentTime);
    line.textContent = "";
    for (var at = Math.max(0, now - AROUND); at < Math.min(words.length, now + AROUND); at += 1) {
      var word = document.createElement(at === now ? "mark" : "span");
      word.textContent = words[at][1];
      line.append(word, " ");
    }
  }

  function play(link) {
    var player = players.filter(function (each) { return each.dataset.source === link.dataset.source; })[0];
    if (!player) { return false; }
    players.forEach(function (each) { if (each !== player) { each.pause(); } });
    document.querySelectorAll("tr.playing").forEach(function (row) { row.classList.remove("playing"); });
    var row = link.closest("tr");
    if (row) { row.classList.add("playing"); }
    player.currentTime = Math.max(0, Number(link.dataset.start) - LEAD_S);
    player.play();
    show(player);
    return true;
  }

  players.forEach(function (player) {
    player.addEventListener("timeupdate", function () { show(player); });
  });
  document.addEventListener("click", function (event) {
    var link = event.target.closest ? event.target.closest("a[data-start]") : null;
    if (link && play(link)) { event.preventDefault(); }
  });
}());

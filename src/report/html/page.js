
"use strict";
// Sorting by a column, and a place of the picture shown in its tables. All of it is beside the point of the page.
(function () {
  function valueOf(row, column) {
    var cell = row.cells[column];
    var figure = cell && cell.querySelector("data");
    if (figure) { return Number(figure.value); }
    return cell ? cell.textContent : "";
  }
  function compare(a, b) {
    var number = typeof a === "number" && typeof b === "number";
    if (number) { return a - b; }
    if (typeof a === "number") { return -1; }
    if (typeof b === "number") { return 1; }
    return a < b ? -1 : a > b ? 1 : 0;
  }
  function sort(table, head, column) {
    var down = head.getAttribute("aria-sort") === "descending";
    Array.from(table.tHead.rows[0].cells).forEach(function (other) { other.removeAttribute("aria-sort"); });
    head.setAttribute("aria-sort", down ? "ascending" : "descending");
    var sign = down ? 1 : -1;
    var rows = Array.from(table.tBodies[0].rows).map(function (row, k) {
      return { row: row, k: k, value: valueOf(row, column) };
    });
    rows.sort(function (a, b) { return sign * compare(a.value, b.value) || a.k - b.k; });
    rows.forEach(function (entry) { table.tBodies[0].appendChild(entry.row); });
  }
  document.querySelectorAll("table").forEach(function (table) {
    if (table.tBodies[0].rows.length < 2) { return; }
    Array.from(table.tHead.rows[0].cells).forEach(function (head, column) {
      if (!table.querySelector("tbody tr > :nth-child(" + (column + 1) + ") data")) { return; }
      var button = document.createElement("button");
      button.type = "button";
      while (head.firstChild) { button.appendChild(head.firstChild); }
      head.appendChild(button);
      button.addEventListener("click", function () { sort(table, head, column); });
    });
  });
  document.querySelectorAll(".place").forEach(function (place) {
    function show(on) {
      document.querySelectorAll("tr[data-place]").forEach(function (row) {
        if (row.dataset.place === place.dataset.place) { row.classList.toggle("shown", on); }
      });
    }
    place.addEventListener("mouseenter", function () { show(true); });
    place.addEventListener("mouseleave", function () { show(false); });
  });
}());

/**
 * The page's only script: copies a column, a whole table, or the values to type in, as tab-separated text, and opens the data tables before
 * printing. Everything else works without it.
 */
export const SCRIPT = `
(() => {
  const status = document.getElementById("status");
  const say = (text) => { status.textContent = text; };
  const put = async (text) => {
    try { await navigator.clipboard.writeText(text); }
    catch {
      const area = document.createElement("textarea");
      area.value = text;
      document.body.append(area);
      area.select();
      document.execCommand("copy");
      area.remove();
    }
  };
  const cellText = (cell) => cell.dataset.value ?? cell.textContent;
  document.addEventListener("click", async (event) => {
    const button = event.target.closest("button[data-copy],button[data-block]");
    if (!button) return;
    const done = (count) => {
      say("Copied " + count + " rows");
      const before = button.textContent;
      button.textContent = "copied";
      setTimeout(() => { button.textContent = before; }, 1200);
    };
    if (button.hasAttribute("data-block")) {
      const columns = button.dataset.block.split(",").map(Number);
      const lines = [...button.closest(".table").querySelector("table").tBodies[0].rows].filter((row) => !row.classList.contains("group"));
      const number = (text) => text.replaceAll("\\u202f", "").replaceAll("\\u2212", "-").replace("\\u2013", "");
      await put(lines.map((row) => columns.map((c) => number(row.cells[c].textContent)).join("\\t")).join("\\n"));
      done(lines.length);
      return;
    }
    const table = button.closest("table");
    const rows = [...table.tBodies[0].rows];
    const column = button.dataset.copy;
    const text = column === "all"
      ? [[...table.tHead.rows[0].cells].map((cell) => cell.dataset.name).join("\\t"), ...rows.map((row) => [...row.cells].map(cellText).join("\\t"))].join("\\n")
      : rows.map((row) => cellText(row.cells[Number(column)])).join("\\n");
    await put(text);
    done(rows.length);
  });
  addEventListener("beforeprint", () => { for (const d of document.querySelectorAll("details")) if (d.querySelectorAll("tr").length < 80) d.open = true; });
})();
`.trim();

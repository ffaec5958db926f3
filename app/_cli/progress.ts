import type { ImportProgress } from "@/lib/services/import-files";

const STEP_MS = 200;

/** Shows progress on stderr: one line that is rewritten on a terminal, or a JSON object a line; seldom, and at the end. */
export function progressPrinter(form: "auto" | "json" | "none"): (progress: ImportProgress) => void {
  const terminal = form === "auto" && process.stderr.isTTY === true;
  if (form !== "json" && !terminal) return () => {};
  let shownAt = 0;
  return ({ file, rows, bytes, totalBytes }) => {
    const now = Date.now();
    const last = bytes >= totalBytes;
    if (!last && now - shownAt < STEP_MS) return;
    shownAt = now;
    if (form === "json") {
      process.stderr.write(`${JSON.stringify({ step: "import", file, rows, done: bytes, total: totalBytes })}\n`);
      return;
    }
    const percent = totalBytes === 0 ? 100 : Math.floor((100 * bytes) / totalBytes);
    const end = last ? "\n" : "";
    process.stderr.write(
      `\r\u001b[K${String(percent).padStart(3)} %  ${file}: ${rows.toLocaleString("en")} rows${end}`,
    );
  };
}

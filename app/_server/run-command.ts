import { spawn } from "node:child_process";
import { createInterface } from "node:readline";

/** How a command ended: its exit code (null when it was killed), all of stdout and the end of stderr. */
export type CommandEnd = { readonly exitCode: number | null; readonly stdout: string; readonly stderr: string };

/** Runs the product's command line with arguments, telling each line of stderr as it comes. */
export type RunCommand = (
  args: readonly string[],
  options: { readonly onLine: (line: string) => void },
) => Promise<CommandEnd>;

// A report lists every refused row; past this it is no longer kept, and the page reads the stored import instead.
const MAX_STDOUT_CHARS = 32_000_000;
const KEPT_ERROR_LINES = 20;

/**
 * The command line as a process of its own, so that the server stays responsive and a killed import leaves the store
 * as it was.
 *
 * @param root - folder of the product
 */
export function commandRunner(root: string): RunCommand {
  return (args, { onLine }) =>
    new Promise((resolve) => {
      const child = spawn(process.execPath, ["--import", "tsx", "app/_cli/main.ts", ...args], {
        cwd: root,
        stdio: ["ignore", "pipe", "pipe"],
        windowsHide: true,
      });
      let stdout = "";
      const errorLines: string[] = [];
      child.stdout.setEncoding("utf8");
      child.stdout.on("data", (text: string) => {
        if (stdout.length < MAX_STDOUT_CHARS) stdout += text;
      });
      const lines = createInterface({ input: child.stderr });
      lines.on("line", (line) => {
        errorLines.push(line);
        if (errorLines.length > KEPT_ERROR_LINES) errorLines.shift();
        onLine(line);
      });
      child.once("error", (error) => resolve({ exitCode: null, stdout, stderr: error.message }));
      child.once("close", (exitCode) => resolve({ exitCode, stdout, stderr: errorLines.join("\n") }));
    });
}

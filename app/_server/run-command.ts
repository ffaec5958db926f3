import { spawn } from "node:child_process";
import path from "node:path";
import { createInterface } from "node:readline";

/** How a command ended: its exit code (null when it was killed) and the end of what it wrote on stderr. */
export type CommandEnd = { readonly exitCode: number | null; readonly stderr: string };

/** Runs the product's command line in a folder with arguments, telling each line of stderr as it comes. */
export type RunCommand = (
  args: readonly string[],
  options: { readonly folder: string; readonly onLine: (line: string) => void },
) => Promise<CommandEnd>;

const KEPT_ERROR_LINES = 20;

/**
 * The command line as a process of its own, so that the server stays responsive and a killed import leaves the store
 * as it was. Its files are named from its folder, so that an import knows them by the names people gave them.
 *
 * @param root - folder of the product
 */
export function commandRunner(root: string): RunCommand {
  const runner = path.join(root, "node_modules", "tsx", "dist", "cli.mjs");
  const command = path.join(root, "app", "_cli", "main.ts");
  return (args, { folder, onLine }) =>
    new Promise((resolve) => {
      const child = spawn(
        process.execPath,
        [runner, "--tsconfig", path.join(root, "tsconfig.json"), command, ...args],
        {
          cwd: folder,
          // The report on stdout is read from the store, where it is whole.
          stdio: ["ignore", "ignore", "pipe"],
          windowsHide: true,
        },
      );
      const errorLines: string[] = [];
      const lines = createInterface({ input: child.stderr });
      lines.on("line", (line) => {
        errorLines.push(line);
        if (errorLines.length > KEPT_ERROR_LINES) errorLines.shift();
        onLine(line);
      });
      child.once("error", (error) => resolve({ exitCode: null, stderr: error.message }));
      child.once("close", (exitCode) => resolve({ exitCode, stderr: errorLines.join("\n") }));
    });
}

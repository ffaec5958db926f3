import type { Command } from "commander";
import type { Context } from "@/lib/services/context";

/** What a command is registered with: the program, and how it runs one verb and ends. */
export type Program = {
  readonly program: Command;
  /** Opens the store of `--db` (or the environment, or the default), runs, closes it and sets the exit code. */
  readonly withContext: (run: (context: Context) => Promise<number>) => Promise<void>;
};

/** Makes `withContext` for a store file; the clock is read here, once a command. */
export function contextRunner({
  storeFile,
  onFailure,
}: {
  storeFile: () => string;
  onFailure: (thrown: unknown) => number;
}) {
  return async (run: (context: Context) => Promise<number>): Promise<void> => {
    // Loaded only here, as are the verbs in their commands: a command starts fast that loads only what it runs.
    const { explainFailure, openContext } = await import("@/lib/services/context");
    let context: Context | undefined;
    try {
      context = openContext(storeFile(), { now: Date.now(), patience });
      process.exitCode = await run(context);
    } catch (thrown) {
      process.exitCode = onFailure(context ? explainFailure(thrown, context) : thrown);
    } finally {
      context?.store.close();
    }
  };
}

/** An import of a year of a large portfolio takes minutes; whoever types a second command meanwhile wants it done after. */
const patience = {
  limitMs: 30 * 60_000,
  onWait: () =>
    process.stderr.write(
      "another command is writing to this store; waiting until it has ended (Ctrl+C gives up) ...\n",
    ),
};

/** Writes text on stdout and waits while the reader is slower; a reader that goes away ends the output in peace. */
export async function print(text: string): Promise<void> {
  if (process.stdout.write(text)) return;
  await new Promise<void>((resolve) => {
    process.stdout.once("drain", resolve);
  });
}

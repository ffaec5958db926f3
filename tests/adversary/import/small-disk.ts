import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../..", import.meta.url));

/** How a disk is made small: a file system of its own in memory, or, where that is not allowed, a limit on file sizes. */
export type SmallDisk = "file system" | "file size";

/** What this machine allows; a file system of one's own needs a mount namespace. */
export function smallDisk(): SmallDisk {
  const folder = mkdtempSync(join(tmpdir(), "rafterline-mount-"));
  const tried = spawnSync("unshare", ["-rm", "mount", "-t", "tmpfs", "tmpfs", folder]);
  rmSync(folder, { recursive: true, force: true });
  return tried.status === 0 ? "file system" : "file size";
}

/**
 * Runs a command on a copy of a store that has `kilobytes` of room in all, then lays what the store became into `out`.
 *
 * The file system dies with the process that mounted it, so nothing is left behind whatever happens.
 */
export function runOnSmallDisk(
  args: readonly string[],
  {
    kind,
    script,
    base,
    out,
    kilobytes,
  }: { kind: SmallDisk; script: string; base: string; out: string; kilobytes: number },
): { exitCode: number | null; stderr: string } {
  rmSync(out, { recursive: true, force: true });
  mkdirSync(out, { recursive: true });
  const disk = mkdtempSync(join(tmpdir(), "rafterline-disk-"));
  const before =
    kind === "file system"
      ? `mount -t tmpfs -o size=${kilobytes}k tmpfs "$DISK" && cp "$BASE" "$DISK/store.sqlite" || exit 99`
      : `cp "$BASE" "$DISK/store.sqlite" || exit 99; ulimit -f ${kilobytes * 2}`;
  const shell = `${before}; "$@"; code=$?; ulimit -f unlimited 2>/dev/null; cp "$DISK"/* "$OUT"/; exit $code`;
  const command = ["sh", "-c", shell, "sh", process.execPath, script, "--db", join(disk, "store.sqlite"), ...args];
  const [program = "", ...rest] = kind === "file system" ? ["unshare", "-rm", ...command] : command;
  const ended = spawnSync(program, rest, {
    cwd: root,
    encoding: "utf8",
    env: { ...process.env, DISK: disk, BASE: base, OUT: out },
  });
  rmSync(disk, { recursive: true, force: true });
  if (!existsSync(join(out, "store.sqlite"))) throw new Error(`the disk was not made: ${ended.stderr}`);
  return { exitCode: ended.status, stderr: ended.stderr };
}

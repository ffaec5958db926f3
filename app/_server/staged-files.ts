import { mkdir, rm } from "node:fs/promises";
import path from "node:path";
import { freeName, MAX_FILES, receiveFile, removeStaged } from "@/app/_server/staging";
import { AppError } from "@/lib/kernel/errors";
import type { FileDescription } from "@/lib/services/describe-file";
import type { StagedReading } from "@/lib/services/staged-reading";

/** A file that was sent and waits to be imported; `position` stays its own while others come and go. */
export type StagedFile = {
  readonly position: number;
  readonly name: string;
  readonly bytes: number;
  readonly path: string;
  /** How it is to be read as far as a person said so; null: as it describes itself. */
  readonly plan: StagedReading | null;
};

/** What is known of a file before it is imported, found out anew when its plan changes. */
export type DescribeFile = (file: StagedFile) => Promise<FileDescription>;

/** The files of one upload in their folder, each with its plan and its description. */
export class StagedFiles {
  readonly folder: string;
  readonly #describe: DescribeFile;
  readonly #files = new Map<number, StagedFile>();
  readonly #descriptions = new Map<number, Promise<FileDescription>>();
  /** Names of the files begun, in lower case, so that two that arrive at once do not share one. */
  readonly #names = new Set<string>();
  #begun = 0;

  constructor(folder: string, describe: DescribeFile) {
    this.folder = folder;
    this.#describe = describe;
  }

  /** All files in the order in which they came. */
  list(): StagedFile[] {
    return [...this.#files.values()].toSorted((one, other) => one.position - other.position);
  }

  /** One file; throws AppError not_found. */
  get(position: number): StagedFile {
    const file = this.#files.get(position);
    if (!file) throw new AppError("not_found", "this file is no longer part of the upload; send it again");
    return file;
  }

  /** Takes one file in; bytes as announced or AppError invalid_input, and nothing of it stays. */
  async add(
    body: ReadableStream<Uint8Array> | null,
    { name, expectedBytes }: { name: string; expectedBytes: number },
  ): Promise<StagedFile> {
    if (this.#names.size >= MAX_FILES) throw new AppError("invalid_input", `at most ${MAX_FILES} files at once`);
    const own = freeName(name, this.#names);
    const position = this.#begun;
    this.#begun += 1;
    this.#names.add(own.toLowerCase());
    const target = path.join(this.folder, own);
    try {
      await mkdir(this.folder, { recursive: true });
      const bytes = await receiveFile(body, { file: target, expectedBytes });
      const file = { position, name: own, bytes, path: target, plan: null };
      this.#files.set(position, file);
      return file;
    } catch (thrown) {
      // Given free, so that the file keeps its name when it is sent again.
      this.#names.delete(own.toLowerCase());
      throw thrown;
    }
  }

  /** Leaves one file out and removes it. */
  async remove(position: number): Promise<void> {
    const file = this.get(position);
    this.#files.delete(position);
    this.#descriptions.delete(position);
    await rm(file.path, { force: true });
    this.#names.delete(file.name.toLowerCase());
  }

  /** Says how a file is to be read. */
  plan(position: number, plan: StagedReading | null): void {
    this.#files.set(position, { ...this.get(position), plan });
    this.#descriptions.delete(position);
  }

  /** What is known of a file; kept until its plan changes. */
  describe(position: number): Promise<FileDescription> {
    const known = this.#descriptions.get(position);
    if (known) return known;
    const found = this.#describe(this.get(position));
    this.#descriptions.set(position, found);
    // One that failed is asked again.
    found.catch(() => this.#descriptions.delete(position));
    return found;
  }

  /** Forgets what was found out, since mappings were saved or retired. */
  describeAnew(): void {
    this.#descriptions.clear();
  }

  /** Removes the files with their folder. */
  async clear(): Promise<void> {
    await removeStaged(this.folder);
  }
}

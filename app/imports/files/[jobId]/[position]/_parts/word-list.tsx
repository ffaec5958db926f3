"use client";

import { useState } from "react";
import {
  meaningOf,
  type Otherwise,
  type WordReading,
  withWord,
} from "@/app/imports/files/[jobId]/[position]/_parts/draft-changes";
import { Choice, type Option, TextField } from "@/app/imports/files/[jobId]/[position]/_parts/field";
import { Small } from "@/app/imports/files/[jobId]/[position]/_parts/rule-parts";
import type { OurColumn } from "@/lib/services/preview-file";

const SHOWN = 12;
const MORE = 50;
// Longest word a mapping may hold.
const WORD_LENGTH = 200;
const SHOWN_LENGTH = 80;
const UNSAID = "\u0000unsaid";
const EMPTY = "\u0000empty";

type Word = { readonly word: string; readonly count: number };

/** Their words and what each stands for, those without a meaning first; then what any other word gives. */
export function WordList({
  our,
  read,
  onChange,
}: {
  our: OurColumn;
  read: WordReading;
  onChange: (read: WordReading) => void;
}) {
  const [wanted, setWanted] = useState("");
  const [shown, setShown] = useState(SHOWN);
  // The order in which the words stood when the list was opened: a word that is given a meaning does not run away.
  const [order] = useState(() => orderOf(our));
  const words = inOrder(wordsOf(our, read), order);
  const fitting = words.filter(({ word }) => word.toLocaleLowerCase().includes(wanted.toLocaleLowerCase()));
  const unsaid = our.theirWords.filter(({ known }) => !known);
  return (
    <div className="mt-3 max-w-[44rem] border-rule sm:border-l sm:pl-4">
      <div className="flex flex-wrap items-end justify-between gap-x-6 gap-y-2">
        <p className="text-sm">
          {unsaid.length === 0
            ? `All ${words.length} words have a meaning.`
            : `${unsaid.length} of ${our.theirWords.length} words without a meaning, in ${unsaid.reduce((sum, { count }) => sum + count, 0).toLocaleString("en")} rows.`}
        </p>
        {words.length > SHOWN ? <TextField label="Find a word" value={wanted} size={16} onChange={setWanted} /> : null}
      </div>
      <table className="data-table mt-2">
        <caption className="sr-only">Words of {our.column}</caption>
        <thead>
          <tr>
            <th scope="col">Their word</th>
            <th scope="col" data-align="end">
              Rows
            </th>
            <th scope="col">Stands for</th>
          </tr>
        </thead>
        <tbody>
          {fitting.slice(0, shown).map((word) => (
            <WordRow key={word.word} {...{ our, read, word }} onChange={onChange} />
          ))}
        </tbody>
      </table>
      {fitting.length > shown ? (
        <Small onClick={() => setShown(shown + MORE)}>
          Show {Math.min(MORE, fitting.length - shown)} more of {fitting.length.toLocaleString("en")} words
        </Small>
      ) : null}
      <div className="mt-3 flex flex-wrap gap-4">
        <Choice
          label="Any other word"
          value={otherwiseValue(read.otherwise)}
          options={[
            { value: "refuse", text: "refuses the row" },
            { value: "leave_out", text: "leaves the row out" },
            ...meaningsOf(our).map(({ value, text }) => ({ value: `use:${value}`, text })),
          ]}
          onChange={(value) => onChange({ ...read, otherwise: otherwiseOf(value) })}
        />
        <Choice
          label="A word counts when it"
          value={read.match}
          options={[
            { value: "whole", text: "is the whole cell" },
            { value: "inside", text: "stands somewhere in the cell" },
          ]}
          onChange={(match) => onChange({ ...read, match: match === "inside" ? "inside" : "whole" })}
        />
      </div>
    </div>
  );
}

function WordRow({
  our,
  read,
  word: { word, count },
  onChange,
}: {
  our: OurColumn;
  read: WordReading;
  word: Word;
  onChange: (read: WordReading) => void;
}) {
  const meaning = meaningOf(read, word);
  const known = our.theirWords.find((one) => one.word === word)?.known ?? true;
  // A piece of the cell gives it its meaning: that is said, and may be overruled by the whole cell.
  const inherited = meaning === undefined && known;
  return (
    <tr>
      <th scope="row" className="max-w-[22rem] [overflow-wrap:anywhere]">
        <bdi title={word.length > SHOWN_LENGTH ? word : undefined}>
          {word.length > SHOWN_LENGTH ? `${word.slice(0, SHOWN_LENGTH)}…` : word}
        </bdi>
      </th>
      <td data-align="end">{count === 0 ? "" : count.toLocaleString("en")}</td>
      <td>
        {word.length > WORD_LENGTH ? (
          <span className="text-soft">too long for a word; let a word stand somewhere in the cell</span>
        ) : (
          <Choice
            label={`${word} stands for`}
            hideLabel
            value={meaning === undefined ? UNSAID : (meaning ?? EMPTY)}
            options={[{ value: UNSAID, text: inherited ? "as a word in it" : "not said yet" }, ...meaningsOf(our)]}
            onChange={(value) =>
              onChange(withWord(read, word, value === UNSAID ? undefined : value === EMPTY ? null : value))
            }
          />
        )}
      </td>
    </tr>
  );
}

/** Every word: those of the file, then those only the mapping knows. */
function wordsOf(our: OurColumn, read: WordReading): Word[] {
  const theirs = new Set(our.theirWords.map(({ word }) => word.toLocaleLowerCase()));
  const others = read.words.filter((one) => !theirs.has(one.theirs.toLocaleLowerCase()));
  return [...our.theirWords, ...others.map((one) => ({ word: one.theirs, count: 0 }))];
}

function orderOf({ theirWords }: OurColumn): ReadonlyMap<string, number> {
  const unsaidFirst = theirWords.toSorted((one, other) => Number(one.known) - Number(other.known));
  return new Map(unsaidFirst.map(({ word }, place) => [word, place]));
}

function inOrder(words: readonly Word[], order: ReadonlyMap<string, number>): Word[] {
  const place = ({ word }: Word) => order.get(word) ?? order.size;
  return words.toSorted((one, other) => place(one) - place(other));
}

function meaningsOf({ words, required }: OurColumn): Option[] {
  const named = (words ?? []).map((word) => ({ value: word, text: word.replaceAll("_", " ") }));
  return required ? named : [...named, { value: EMPTY, text: "nothing, an empty cell" }];
}

function otherwiseValue(otherwise: Otherwise): string {
  return otherwise.do === "use" ? `use:${otherwise.ours ?? EMPTY}` : otherwise.do;
}

function otherwiseOf(value: string): Otherwise {
  if (value === "refuse" || value === "leave_out") return { do: value };
  const ours = value.slice("use:".length);
  return { do: "use", ours: ours === EMPTY ? null : ours };
}

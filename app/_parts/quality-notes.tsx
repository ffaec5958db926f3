import type { QualityNote } from "@/lib/analyse/quality/quality";

/** What limits the data, a sentence each; serious ones say so in words. */
export function QualityNotes({ notes }: { notes: readonly QualityNote[] }) {
  return (
    <ul className="max-w-[66ch]">
      {notes.map((note) => (
        <li
          key={`${note.kind} ${note.detectorId} ${note.startAt} ${note.short}`}
          className="border-t border-rule py-3 font-serif text-pretty first:border-t-0 first:pt-0"
        >
          {note.serious ? <strong className="text-worse">Serious. </strong> : null}
          {note.sentence}
        </li>
      ))}
    </ul>
  );
}

import Link from "next/link";
import type { QualityNote } from "@/lib/analyse/quality/quality";

/** What limits the data, a sentence each; serious ones say so in words, and `linked` ones lead to their detector. */
export function QualityNotes({ notes, linked = false }: { notes: readonly QualityNote[]; linked?: boolean }) {
  return (
    <ul className="max-w-[66ch]">
      {notes.map((note) => (
        <li
          key={`${note.kind} ${note.detectorId} ${note.startAt} ${note.short}`}
          className="border-t border-rule py-3 font-serif text-pretty first:border-t-0 first:pt-0"
        >
          {note.serious ? <strong className="text-worse">Serious. </strong> : null}
          {note.sentence}
          {linked && note.detectorId !== null ? (
            <>
              {" "}
              <Link className="whitespace-nowrap" href={`/detectors/${encodeURIComponent(note.detectorId)}`}>
                See {note.detectorId}
              </Link>
            </>
          ) : null}
        </li>
      ))}
    </ul>
  );
}

"use client";

import { type DragEvent, useId, useRef, useState } from "react";

/** A place to drop files on, which is also the label of a file picker and so works by keyboard and touch. */
export function DropZone({
  onFiles,
  hintId,
  disabled,
  small,
}: {
  onFiles: (files: readonly File[]) => void;
  hintId: string;
  disabled: boolean;
  /** Whether files are here already, so that more of them are a side matter. */
  small: boolean;
}) {
  const inputId = useId();
  const input = useRef<HTMLInputElement>(null);
  const [over, setOver] = useState(false);
  const drop = (event: DragEvent) => {
    event.preventDefault();
    setOver(false);
    if (!disabled) onFiles([...event.dataTransfer.files]);
  };
  return (
    <label
      htmlFor={inputId}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={drop}
      data-over={over ? "" : undefined}
      data-small={small ? "" : undefined}
      className="block cursor-pointer border border-dashed border-faint bg-raised px-6 py-10 text-center focus-within:outline-2 focus-within:outline-offset-3 focus-within:outline-accent hover:border-accent data-over:border-solid data-over:border-accent data-over:bg-accent-wash data-small:py-5"
    >
      {small ? null : <DropMark />}
      <span className={small ? "block font-serif text-lg" : "mt-4 block font-serif text-lg"}>
        {small ? "Drop more files here, or choose them" : "Drop your files here, or choose them"}
      </span>
      {small ? null : (
        <span className="mt-1 block text-sm text-soft">sites, detectors, readings, events, work; as they come</span>
      )}
      <input
        ref={input}
        id={inputId}
        type="file"
        multiple
        disabled={disabled}
        aria-describedby={hintId}
        onChange={() => {
          onFiles([...(input.current?.files ?? [])]);
          // Emptied, so that the same file can be chosen again after it was mended.
          if (input.current) input.current.value = "";
        }}
        className="sr-only"
      />
    </label>
  );
}

/** Five rows that become one beam. */
function DropMark() {
  return (
    <svg viewBox="0 0 160 44" width="160" height="44" aria-hidden="true" focusable="false" className="mx-auto">
      {[4, 13, 22, 31, 40].map((y, index) => (
        <path
          key={y}
          d={`M${4 + index * 5} ${y}H${30 + index * 4}C60 ${y} 60 22 84 22`}
          fill="none"
          stroke="var(--faint)"
        />
      ))}
      <line x1="84" x2="148" y1="22" y2="22" stroke="var(--accent)" strokeWidth="2" />
      <rect x="79" y="17" width="10" height="10" fill="var(--ink)" />
      <rect x="148.5" y="17.5" width="9" height="9" fill="var(--raised)" stroke="var(--ink)" />
    </svg>
  );
}

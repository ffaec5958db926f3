import { sizeText } from "@/app/_parts/size-text";

/** The files chosen so far, each with its size and a way to leave it out. */
export function ChosenFiles({
  files,
  locked,
  onRemove,
}: {
  files: readonly File[];
  locked: boolean;
  onRemove: (index: number) => void;
}) {
  if (files.length === 0) return null;
  return (
    <ul aria-label="Files chosen" className="mt-5 border-t border-ink">
      {files.map((file, index) => (
        <li
          key={`${file.name}-${file.size}-${file.lastModified}-${index.toString()}`}
          className="flex items-baseline gap-4 border-b border-rule py-2"
        >
          <span className="min-w-0 flex-1 truncate font-medium">{file.name}</span>
          <span className="text-sm text-soft">{sizeText(file.size)}</span>
          <button
            type="button"
            disabled={locked}
            onClick={() => onRemove(index)}
            className="cursor-pointer text-sm text-accent underline underline-offset-4 disabled:invisible"
          >
            Leave out<span className="sr-only"> {file.name}</span>
          </button>
        </li>
      ))}
    </ul>
  );
}

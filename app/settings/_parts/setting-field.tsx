import type { SettingView } from "@/lib/services/show-settings";

/** One setting: its field and unit, what it means, its default, and where the default comes from. */
export function SettingField({
  setting,
  typed,
  problem,
}: {
  setting: SettingView;
  typed: string;
  problem: string | null;
}) {
  const id = `setting-${setting.key}`;
  const described = [`${id}-meaning`, ...(problem ? [`${id}-problem`] : [])].join(" ");
  return (
    <div className="grid gap-x-10 gap-y-2 border-b border-rule py-4 first:pt-0 sm:grid-cols-[minmax(0,1fr)_15rem]">
      <div>
        <label htmlFor={id} className="font-medium">
          {setting.label}
        </label>
        <p id={`${id}-meaning`} className="max-w-[60ch] text-sm text-soft text-pretty">
          {setting.meaning}
        </p>
        <SourceNote setting={setting} />
      </div>
      <div className="sm:pt-0.5">
        <div className="flex items-baseline gap-2">
          <input
            id={id}
            name={setting.key}
            defaultValue={typed}
            inputMode="decimal"
            autoComplete="off"
            aria-invalid={problem !== null}
            aria-describedby={described}
            className="w-32 border border-faint bg-raised px-3 py-1.5 text-right aria-invalid:border-worse"
          />
          <span className="text-sm text-soft">{setting.unit}</span>
        </div>
        {problem ? (
          <p id={`${id}-problem`} className="mt-1 text-sm text-worse">
            {typed.trim() === "" ? "The field" : `“${typed}”`} {problem}.
          </p>
        ) : (
          <p className="mt-1 text-sm text-soft">
            {setting.isDefault ? "as delivered" : `delivered as ${setting.defaultText}`}
          </p>
        )}
      </div>
    </div>
  );
}

function SourceNote({ setting: { source } }: { setting: SettingView }) {
  if (source.standing === "your figure") {
    return <p className="mt-1 text-sm">Your figure</p>;
  }
  if (source.standing === "choice") return <p className="mt-1 text-sm text-soft">A choice of this product.</p>;
  return (
    <details className="mt-1 text-sm">
      <summary className="w-fit text-soft underline decoration-rule underline-offset-4 hover:text-accent">
        Source, {standingWords[source.standing]}
      </summary>
      <p className="mt-1 max-w-[60ch] text-soft">
        {source.title}
        {source.place ? `; ${source.place}` : ""}.
      </p>
    </details>
  );
}

const standingWords = {
  read: "read",
  secondary: "taken from a summary",
  "from memory": "from memory",
  "common practice": "common practice",
} as const;

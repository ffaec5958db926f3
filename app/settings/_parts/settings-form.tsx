"use client";

import { useActionState } from "react";
import { Button } from "@/app/_parts/button";
import { saveSettingsForm } from "@/app/_server/settings-actions";
import { SettingField } from "@/app/settings/_parts/setting-field";
import type { SettingGroupView } from "@/lib/services/show-settings";

/** What a form that was sent back holds: the texts as typed, and what is wrong with which. */
export type SettingsFormState = {
  readonly typed: Readonly<Record<string, string>>;
  readonly problems: Readonly<Record<string, string>>;
};

/** What stands in the margin beside each group. */
const groupWords: Record<SettingGroupView["group"], { readonly title: string; readonly note: string }> = {
  costs: {
    title: "Costs",
    note: "What events and visits cost you. They decide what a visit saves and so the order of the ranking. Where it says “your figure” no published one is known: the value delivered is only a start.",
  },
  limits: {
    title: "Limits",
    note: "Rates and intervals that a standard, your insurer or your local code sets. They change what is flagged, never what is due.",
  },
  effects: {
    title: "Effects of visits",
    note: "How far a visit brings events down where your own records say too little.",
  },
  analysis: { title: "Analysis", note: "How records become episodes, clusters and observed time." },
};

/** Every setting by group, in one form that loses nothing on a mistake and works without scripts. */
export function SettingsForm({ groups, currency }: { groups: readonly SettingGroupView[]; currency: string }) {
  const [state, action, pending] = useActionState(saveSettingsForm, { typed: {}, problems: {} });
  const wrong = Object.keys(state.problems).length;
  return (
    <form action={action} noValidate>
      {wrong > 0 ? (
        <p role="alert" className="mb-8 max-w-[60ch] border-l-2 border-worse py-1 pl-5">
          Nothing was saved: {wrong === 1 ? "one value needs" : `${wrong} values need`} a look. What you typed is kept.
        </p>
      ) : null}
      {groups.map(({ group, settings }) => (
        <fieldset key={group} className="notebook mb-14 min-w-0">
          <legend className="contents">
            <span className="mb-4 block pr-6 lg:mb-0">
              <span className="font-serif text-lg leading-snug font-semibold">{groupWords[group].title}</span>
              <span className="mt-2 block max-w-[60ch] text-sm text-soft text-pretty">{groupWords[group].note}</span>
            </span>
          </legend>
          <div className="notebook-body min-w-0">
            {group === "costs" ? (
              <CurrencyField typed={state.typed.currency ?? currency} problem={state.problems.currency ?? null} />
            ) : null}
            {settings.map((setting) => (
              <SettingField
                key={setting.key}
                setting={setting}
                typed={state.typed[setting.key] ?? setting.text}
                problem={state.problems[setting.key] ?? null}
              />
            ))}
          </div>
        </fieldset>
      ))}
      <div className="notebook sticky bottom-0 border-t border-rule bg-paper py-4">
        <div />
        <div className="lg:ps-9">
          <Button type="submit" look="main" disabled={pending}>
            {pending ? "Saving" : "Save as a new version"}
          </Button>
        </div>
      </div>
    </form>
  );
}

function CurrencyField({ typed, problem }: { typed: string; problem: string | null }) {
  return (
    <div className="mb-6 border-b border-rule pb-6">
      <label htmlFor="setting-currency" className="font-medium">
        Currency
      </label>
      <p id="setting-currency-meaning" className="max-w-[60ch] text-sm text-soft">
        Three capital letters (ISO 4217). All amounts are in it; changing it does not convert them.
      </p>
      <input
        id="setting-currency"
        name="currency"
        defaultValue={typed}
        size={5}
        maxLength={3}
        autoComplete="off"
        autoCapitalize="characters"
        spellCheck={false}
        aria-invalid={problem !== null}
        aria-describedby={`setting-currency-meaning${problem ? " setting-currency-problem" : ""}`}
        className="mt-2 border border-faint bg-raised px-3 py-1.5 uppercase aria-invalid:border-worse"
      />
      {problem ? (
        <p id="setting-currency-problem" className="mt-1 text-sm text-worse">
          {typed} {problem}.
        </p>
      ) : null}
    </div>
  );
}

import type { Metadata } from "next";
import { z } from "zod";
import { Button } from "@/app/_parts/button";
import type { Format } from "@/app/_parts/format";
import { JobPanel } from "@/app/_parts/job-panel";
import { PageHeader } from "@/app/_parts/page-header";
import { Notice } from "@/app/_parts/states";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { currentFormat } from "@/app/_server/reader";
import { analyseAgain } from "@/app/_server/settings-actions";
import { KeysSection } from "@/app/settings/_parts/keys/keys-section";
import { SettingsForm } from "@/app/settings/_parts/settings-form";
import { showKeys } from "@/lib/services/show-keys";
import { type SettingsView, showSettings } from "@/lib/services/show-settings";

export const metadata: Metadata = { title: "Settings" };

const searchSchema = z.object({
  saved: z.coerce.number().int().positive().optional().catch(undefined),
  unchanged: z.coerce.number().int().positive().optional().catch(undefined),
  job: z.uuid().optional().catch(undefined),
});

/** Costs, limits and the rest: each value with its meaning, default and source; below them the keys for sending. */
export default async function SettingsPage({ searchParams }: PageProps<"/settings">) {
  const search = searchSchema.parse(await searchParams);
  const context = await currentContext();
  const view = await answer(() => showSettings(context));
  const keys = context.permissions.has("manage_keys") ? await answer(() => showKeys(context)) : null;
  const format = await currentFormat({ currency: view.currency });
  return (
    <>
      <PageHeader title="Settings" lead={<p>{leadOf(view, format)}</p>} />
      {search.saved ? <Notice>Saved as version {search.saved}.</Notice> : null}
      {search.unchanged ? (
        <Notice>Nothing differed from version {search.unchanged}, so no new one was made.</Notice>
      ) : null}
      {search.job ? <JobPanel id={search.job} title="Analysis with these settings" /> : <AnalyseOffer view={view} />}
      <SettingsForm key={view.version} groups={view.groups} currency={view.currency} />
      {keys ? <KeysSection view={keys} format={format} /> : null}
    </>
  );
}

function leadOf({ version, savedAt, groups }: SettingsView, format: Format): string {
  const all = groups.flatMap(({ settings }) => settings);
  const own = all.filter(({ isDefault }) => !isDefault).length;
  const when = savedAt === null ? "" : `, saved on ${format.moment(savedAt, "UTC")}`;
  const stand = version === 0 ? "All values are as delivered" : `This is version ${version}${when}`;
  const yours = own === 0 ? "" : ` ${own} of ${all.length} values are your own.`;
  return `${stand}.${yours} Older versions are kept, so that an old result can be explained.`;
}

function AnalyseOffer({ view: { version, analysedVersion } }: { view: SettingsView }) {
  if (analysedVersion === null || analysedVersion === version) return null;
  return (
    <Notice>
      <p>
        The results on the other screens were made with version {analysedVersion}. Analyse again to see them with
        version {version}.
      </p>
      <form action={analyseAgain} className="mt-3">
        <Button type="submit">Analyse again</Button>
      </form>
    </Notice>
  );
}

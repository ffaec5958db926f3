import type { Metadata, Route } from "next";
import { z } from "zod";
import { NoResult } from "@/app/_parts/no-result";
import { PageHeader } from "@/app/_parts/page-header";
import { Pager } from "@/app/_parts/pager";
import { RunNote, StaleNote } from "@/app/_parts/run-note";
import { answer } from "@/app/_server/answer";
import { currentContext } from "@/app/_server/context";
import { currentFormat } from "@/app/_server/reader";
import { SiteTable } from "@/app/sites/_parts/site-table";
import { type SiteSort, showSites, siteSorts } from "@/lib/services/show-sites";

export const metadata: Metadata = { title: "Sites" };

const query = z.object({
  sort: z.enum(siteSorts).catch("expectedCost"),
  direction: z.enum(["asc", "desc"]).catch("desc"),
  page: z.coerce.number().int().min(1).max(100_000).catch(1),
});

/** Which site, why? */
export default async function SitesPage({ searchParams }: PageProps<"/sites">) {
  const { sort, direction, page } = query.parse(await searchParams);
  const context = await currentContext();
  const view = await answer(() => showSites(context, { sort, direction, page }));
  if (view.state === "no_result") return <NoResult sites={view.sites} />;
  const format = await currentFormat({ currency: view.run.currency });
  const href = (to: { sort?: SiteSort; direction?: "asc" | "desc"; page?: number }): Route =>
    `/sites?sort=${to.sort ?? sort}&direction=${to.direction ?? direction}&page=${to.page ?? 1}`;
  return (
    <>
      <StaleNote run={view.run} />
      <PageHeader
        above={<RunNote run={view.run} format={format} />}
        title="Sites, side by side"
        lead={
          <p>
            Rates are adjusted for the time each site was observed, so a large site and a quiet year compare fairly;
            where two intervals overlap widely, their order says little.
          </p>
        }
      />
      <SiteTable view={view} sort={sort} direction={direction} format={format} href={href} />
      <Pager
        page={view.page}
        pages={view.pages}
        total={format.number(view.total)}
        what="sites"
        hrefOf={(to) => href({ page: to })}
      />
    </>
  );
}

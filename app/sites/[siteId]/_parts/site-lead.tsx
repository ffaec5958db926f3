import type { Format } from "@/app/_parts/format";
import { counted } from "@/app/_parts/words";
import type { SiteView } from "@/lib/services/show-site";

/** The sentence that answers 'why this site?'. */
export function SiteLead({ view: { run, result }, format }: { view: SiteView; format: Format }) {
  const { expectedCost, worthwhileVisits, netBenefit, detectors } = result;
  const whole = (value: number) => format.number(value);
  return (
    <p>
      {counted(detectors, "detector", { write: whole })}. Left alone, the {whole(run.horizonDays)} days ahead cost about{" "}
      {format.moneyAbout(expectedCost.mean)} ({format.range(expectedCost, format.moneyAbout)})
      {worthwhileVisits > 0
        ? `; ${counted(worthwhileVisits, "visit", { write: whole })} ${worthwhileVisits === 1 ? "is" : "are"} worth their price here, ${format.moneyAbout(netBenefit)} net.`
        : "; no visit here avoids more than it costs."}
    </p>
  );
}

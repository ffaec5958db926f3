import { Section } from "@/app/_parts/section";

/** What a look back cannot show. */
export function LimitsSection({ horizonDays }: { horizonDays: string }) {
  return (
    <Section id="limits" title="What this cannot show">
      <ul className="max-w-[68ch] list-disc space-y-2 pl-5">
        <li>
          Cost that followed is not cost avoided. A visit prevents a part of it, and only of causes it can meet; by
          avoided cost the ranking may rightly leave a dear detector lower that no visit would help.
        </li>
        <li>
          Visits that were made changed what followed: a detector that was seen to in time looks like a wrong alarm of
          the ranking. The page can leave such detectors out, but that removes the well-kept ones.
        </li>
        <li>
          Records are taken as they are now. A verdict, a cause or a record that was entered late counts as if it had
          been known at once; costs and other settings are today’s.
        </li>
        <li>
          The horizons of {horizonDays} days overlap from month to month, so the months repeat each other, and one year
          is one year: a mild winter or a new tenant is in all of them.
        </li>
        <li>No figure here releases anyone from a statutory test or from the judgement of those who know the site.</li>
      </ul>
    </Section>
  );
}

import type { SentKind } from "@/lib/report/api/shapes";

/** Two good rows of each kind in both forms; the document shows them, and tests send them. */
export const exampleRows: Readonly<Record<SentKind, { readonly jsonLines: string; readonly csv: string }>> = {
  readings: {
    jsonLines: `{"detector_id":"D1","read_at":"2026-03-09T14:00:00+02:00","signal_pct":97.5,"temperature_c":11}
{"detector_id":"D2","read_at":"2026-03-09T14:00:00+02:00","signal_pct":88}
`,
    csv: `detector_id,read_at,signal_pct,temperature_c
D1,2026-03-09T14:00:00+02:00,97.5,11
D2,2026-03-09T14:00:00+02:00,88,
`,
  },
  events: {
    jsonLines: `{"detector_id":"D1","began_at":"2026-03-09T03:12:00+02:00","ended_at":"2026-03-09T03:40:00+02:00","condition":"fault","cause":"low_signal"}
{"detector_id":"D2","began_at":"2026-03-09T09:00:00+02:00","condition":"fire","verdict":"unwanted"}
`,
    csv: `detector_id,began_at,ended_at,condition,cause,verdict
D1,2026-03-09T03:12:00+02:00,2026-03-09T03:40:00+02:00,fault,low_signal,
D2,2026-03-09T09:00:00+02:00,,fire,,unwanted
`,
  },
  work: {
    jsonLines: `{"detector_id":"D1","done_at":"2026-03-09T10:30:00+02:00","task":"realign","signal_before_pct":61.5,"signal_after_pct":100,"minutes":45,"reactive":true}
{"detector_id":"D2","done_at":"2026-03-09T11:00:00+02:00","task":"filter_test","result":"pass"}
`,
    csv: `detector_id,done_at,task,result,signal_before_pct,signal_after_pct,minutes,reactive
D1,2026-03-09T10:30:00+02:00,realign,,61.5,100,45,true
D2,2026-03-09T11:00:00+02:00,filter_test,pass,,,,
`,
  },
};

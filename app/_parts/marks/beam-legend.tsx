/** How to read a beam strip, once for a list of them. */
export function BeamLegend() {
  return (
    <ul className="flex flex-wrap gap-x-5 gap-y-1 text-xs text-soft">
      <li className="flex items-center gap-2">
        <svg width="12" height="10" aria-hidden="true">
          <rect width="9" height="9" y="0.5" fill="var(--ink)" />
        </svg>
        head
      </li>
      <li className="flex items-center gap-2">
        <svg width="12" height="10" aria-hidden="true">
          <rect x="0.75" y="0.75" width="8.5" height="8.5" fill="var(--paper)" stroke="var(--ink)" strokeWidth="1.5" />
        </svg>
        reflector
      </li>
      <li className="flex items-center gap-2">
        <svg width="38" height="10" aria-hidden="true">
          <line x1="0" x2="38" y1="5" y2="5" stroke="var(--ink)" strokeWidth="3" strokeDasharray="3.5 3.5" />
        </svg>
        ink by signal, half at 50 %
      </li>
      <li className="flex items-center gap-2">
        <svg width="6" height="12" aria-hidden="true">
          <line x1="3" x2="3" y1="1" y2="11" stroke="var(--worse)" strokeWidth="2" />
        </svg>
        fault episode
      </li>
      <li className="flex items-center gap-2">
        <svg width="10" height="10" aria-hidden="true">
          <circle cx="5" cy="5" r="3" fill="none" stroke="var(--ink)" strokeWidth="1.5" />
        </svg>
        unwanted alarm
      </li>
      <li>left to right: the last 12 months; length: the path</li>
    </ul>
  );
}

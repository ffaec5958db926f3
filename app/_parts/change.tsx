/** How a number moved: sign, amount and a word; `better` says which direction is the good one, null where neither is. */
export function Change({
  amount,
  direction,
  better,
}: {
  amount: string;
  direction: number;
  better: "up" | "down" | null;
}) {
  if (direction === 0) return <span className="text-soft">unchanged</span>;
  const sign = <span aria-hidden="true">{direction > 0 ? "▲" : "▼"} </span>;
  const word = direction > 0 ? "more" : "less";
  if (better === null) {
    return (
      <span>
        {sign}
        {amount} {word}
      </span>
    );
  }
  const good = direction > 0 === (better === "up");
  return (
    <span className={good ? "text-good" : "text-worse"}>
      {sign}
      {amount} {word}, {good ? "better" : "worse"}
    </span>
  );
}

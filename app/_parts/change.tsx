/** How a number moved: sign, amount and a word; `better` says which direction is the good one. */
export function Change({ amount, direction, better }: { amount: string; direction: number; better: "up" | "down" }) {
  if (direction === 0) return <span className="text-soft">unchanged</span>;
  const good = direction > 0 === (better === "up");
  return (
    <span className={good ? "text-good" : "text-worse"}>
      <span aria-hidden="true">{direction > 0 ? "▲" : "▼"} </span>
      {amount} {direction > 0 ? "more" : "less"}, {good ? "better" : "worse"}
    </span>
  );
}

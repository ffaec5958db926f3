import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { inversePrediction, leastSquares, predict } from "@/lib/statistics/least-squares";
import { solveSymmetric } from "@/lib/statistics/linear-solve";

const number = fc.double({ min: -100, max: 100, noNaN: true });

describe("leastSquares", () => {
  it("residuals stand at right angles to every column", () => {
    const data = fc.array(fc.tuple(number, number), { minLength: 4, maxLength: 20 });
    fc.assert(
      fc.property(data, (pairs) => {
        const x = pairs.map(([a]) => [1, a]);
        const y = pairs.map(([, b]) => b);
        const fit = leastSquares({ x, y });
        fc.pre(fit !== null && new Set(pairs.map(([a]) => Math.round(a))).size > 2);
        const residual = y.map((value, i) => value - fit!.coefficients[0]! - fit!.coefficients[1]! * x[i]![1]!);
        expect(residual.reduce((sum, r) => sum + r, 0)).toBeCloseTo(0, 7);
        expect(residual.reduce((sum, r, i) => sum + r * x[i]![1]!, 0)).toBeCloseTo(0, 5);
        expect(residual.reduce((sum, r) => sum + r * r, 0)).toBeCloseTo(fit!.residualSumOfSquares, 5);
      }),
    );
  });

  it("a weight of two is the same as the row twice", () => {
    const twice = leastSquares({
      x: [
        [1, 0],
        [1, 1],
        [1, 1],
        [1, 3],
      ],
      y: [2, 4, 4, 5],
    });
    const weighted = leastSquares({
      x: [
        [1, 0],
        [1, 1],
        [1, 3],
      ],
      y: [2, 4, 5],
      weights: [1, 2, 1],
    });
    for (const j of [0, 1]) expect(weighted!.coefficients[j]!).toBeCloseTo(twice!.coefficients[j]!, 12);
  });

  it("columns that say the same, or more columns than rows, have no fit", () => {
    expect(
      leastSquares({
        x: [
          [1, 2],
          [1, 2],
          [1, 2],
        ],
        y: [1, 2, 3],
      }),
    ).toBeNull();
    expect(leastSquares({ x: [[1, 2]], y: [1] })).toBeNull();
    expect(leastSquares({ x: [], y: [] })).toBeNull();
  });

  it("as many rows as columns leave no error to estimate", () => {
    const fit = leastSquares({
      x: [
        [1, 0],
        [1, 2],
      ],
      y: [1, 5],
    });
    expect(fit).toMatchObject({ standardErrors: null, residualSd: null, df: 0 });
    expect(fit!.coefficients[1]).toBeCloseTo(2, 12);
    expect(predict(fit!, [1, 3], { level: 0.9 })).toBeNull();
    expect(inversePrediction(fit!, { y: 3, level: 0.9 })).toBeNull();
  });

  it("unequal lengths and holes are refused", () => {
    expect(() => leastSquares({ x: [[1]], y: [1, 2] })).toThrow(RangeError);
    expect(() => leastSquares({ x: [[1], [Number.NaN]], y: [1, 2] })).toThrow(/row 1/);
    expect(() => leastSquares({ x: [[1, 2], [1]], y: [1, 2] })).toThrow(/row 1/);
  });
});

describe("inversePrediction", () => {
  it("a slope that may be nothing reaches the limit at no stated moment", () => {
    const fit = leastSquares({ x: [0, 1, 2, 3, 4].map((t) => [1, t]), y: [5, 9, 4, 8, 5.5] });
    expect(inversePrediction(fit!, { y: 50, level: 0.95 })).toMatchObject({ low: null, high: null });
  });

  it("the prediction band passes through the level at both limits", () => {
    const fit = leastSquares({ x: [0, 1, 2, 3, 4, 5].map((t) => [1, t]), y: [99, 97.2, 94.9, 93.1, 91, 88.8] });
    const { low, high } = inversePrediction(fit!, { y: 80, level: 0.9 })!;
    expect(predict(fit!, [1, low!], { level: 0.9 })!.low).toBeCloseTo(80, 8);
    expect(predict(fit!, [1, high!], { level: 0.9 })!.high).toBeCloseTo(80, 8);
    expect(() => inversePrediction({ ...fit!, coefficients: [1] }, { y: 1, level: 0.9 })).toThrow(/straight line/);
  });
});

describe("solveSymmetric", () => {
  it("undoes the product of a positive definite matrix, and gives nothing in a direction without variance", () => {
    const matrix = [
      [4, 1, 0],
      [1, 3, 1],
      [0, 1, 2],
    ];
    const x = solveSymmetric(matrix, [1, 2, 3]);
    for (const [i, row] of matrix.entries()) {
      expect(row.reduce((sum, a, j) => sum + a * x[j]!, 0)).toBeCloseTo(i + 1, 12);
    }
    expect(
      solveSymmetric(
        [
          [4, 0],
          [0, 0],
        ],
        [8, 0],
      ),
    ).toEqual([2, 0]);
    expect(() => solveSymmetric([[1]], [1, 2])).toThrow(RangeError);
  });
});

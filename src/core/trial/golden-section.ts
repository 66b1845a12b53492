const GOLDEN = (Math.sqrt(5) - 1) / 2;
const CLOSE = 1e-8;

/**
 * Where a smooth function of a share is lowest: first over a rough grid, since it may have two hollows, then by golden
 * section between the neighbors of the best (Kiefer 1953, Proceedings of the American Mathematical Society 4:502-506).
 * The first point of the grid is returned where nothing near the found place is lower.
 */
export function lowestShare(grid: readonly number[], most: number, height: (share: number) => number): number {
  const [first = 0, second = most] = grid;
  const found = grid.map(height);
  const best = found.indexOf(Math.min(...found));
  // A share so small that where even it is higher than the first, the first is the answer.
  if (best === 0 && height(first + (second - first) / 200) >= (found[0] ?? 0)) return first;
  let low = grid[best - 1] ?? first;
  let high = grid[best + 1] ?? most;
  let [left, right] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
  let [ofLeft, ofRight] = [height(left), height(right)];
  while (high - low > CLOSE) {
    if (ofLeft <= ofRight) {
      [high, right, ofRight] = [right, left, ofLeft];
      left = high - GOLDEN * (high - low);
      ofLeft = height(left);
    } else {
      [low, left, ofLeft] = [left, right, ofRight];
      right = low + GOLDEN * (high - low);
      ofRight = height(right);
    }
  }
  const middle = (low + high) / 2;
  return (found[0] ?? 0) <= height(middle) ? first : middle;
}

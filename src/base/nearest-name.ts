/**
 * "Did you mean": the known name nearest to a misspelt one.
 * Distance after V. Levenshtein, "Binary codes capable of correcting deletions, insertions and
 * reversals", Soviet Physics Doklady 10 (1966), here with swapped neighbours as one step.
 */

const SHORTEST = 2;
const LONGEST = 60;

function editDistance(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, column) => column);
  for (let row = 1; row <= a.length; row += 1) {
    const current = [row];
    for (let column = 1; column <= b.length; column += 1) {
      const same = a[row - 1] === b[column - 1];
      let best = Math.min(last[column] + 1, current[column - 1] + 1, last[column - 1] + (same ? 0 : 1));
      const swapped = row > 1 && column > 1 && a[row - 1] === b[column - 2] && a[row - 2] === b[column - 1];
      if (swapped) best = Math.min(best, beforeLast[column - 2] + 1);
      current.push(best);
    }
    beforeLast = last;
    last = current;
  }
  return last[b.length];
}

/** The known name with the least distance, if that is at most a third of its length (or 1); the first of equals. */
export function nearestName(name: string, known: readonly string[]): string | undefined {
  if (name.length > LONGEST) return undefined;
  let nearest: string | undefined;
  let least = Infinity;
  for (const candidate of known) {
    if (candidate.length < SHORTEST || candidate.length > LONGEST) continue;
    const distance = editDistance(name.toLowerCase(), candidate.toLowerCase());
    if (distance < least && distance <= Math.max(1, Math.floor(candidate.length / 3))) {
      nearest = candidate;
      least = distance;
    }
  }
  return nearest;
}

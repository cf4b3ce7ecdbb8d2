/**
 * A bill of parts: how many chests, arms in each role and splitters of each model a layout has, carriers
 * apart. All layouts with the same bill form one family: the program proposes a bill, the search settles
 * its whole family at a price, and what it learns comes back as a cut on that bill.
 */

export interface Bill {
  readonly chests: number;
  /** By arm model: wagon to chest. */
  readonly fills: readonly number[];
  /** By arm model: onto a carrier. */
  readonly loads: readonly number[];
  /** By splitter model. */
  readonly splitters: readonly number[];
}

/** By model. */
export type Counts = readonly number[];

export const sum = (counts: Counts): number => counts.reduce((total, n) => total + n, 0);

export const countsOf = (bill: Bill): readonly number[] => [bill.chests, ...bill.fills, ...bill.loads, ...bill.splitters];

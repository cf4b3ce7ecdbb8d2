/**
 * Ways round in a graph, as lists of what each node leads to: which of them come back to themselves.
 */

/** Nodes in the order in which a depth-first walk leaves them. */
function leavingOrder(after: readonly (readonly number[])[]): readonly number[] {
  const order: number[] = [];
  const entered = new Set<number>();
  after.forEach((_, start) => {
    if (entered.has(start)) return;
    entered.add(start);
    const path = [{ node: start, branch: 0 }];
    for (let top = path.at(-1); top !== undefined; top = path.at(-1)) {
      const branches = after[top.node];
      if (top.branch === branches.length) {
        order.push(top.node);
        path.pop();
        continue;
      }
      const next = branches[top.branch];
      top.branch += 1;
      if (entered.has(next)) continue;
      entered.add(next);
      path.push({ node: next, branch: 0 });
    }
  });
  return order;
}

/**
 * Groups of nodes each of which leads to itself through all the others of its group: strongly
 * connected components by two walks (Kosaraju, Sharir; Cormen et al., Introduction to Algorithms, section 22.5).
 */
export function rings(after: readonly (readonly number[])[]): readonly (readonly number[])[] {
  const before: number[][] = after.map(() => []);
  after.forEach((list, node) => list.forEach((next) => before[next].push(node)));
  const grouped = new Set<number>();
  const found: (readonly number[])[] = [];
  for (const start of leavingOrder(after).toReversed()) {
    if (grouped.has(start)) continue;
    grouped.add(start);
    const group = [start];
    for (const member of group) {
      for (const earlier of before[member]) {
        if (grouped.has(earlier)) continue;
        grouped.add(earlier);
        group.push(earlier);
      }
    }
    if (group.length > 1 || after[start].includes(start)) found.push(group);
  }
  return found;
}

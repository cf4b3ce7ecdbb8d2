/**
 * The rules that `mutate.ts` breaks, one at a time: in the simulator, the rate model with its bounds, the
 * checker of integer programs, and the audit of proofs. Each names one place in one file by a text that
 * stands there once.
 * A bound is broken only toward too dear or too little flow: the other way it is merely slow, and no test
 * should notice. A mutation that changes nothing but speed or words does not belong here. Known not to
 * matter, and so left out: merging tiles past a tee that moves early (the order of moves then has a ring, and
 * the tiles are not merged after all); a splitter's way to the next column in the search's distances (both its
 * halves stand on free tiles, so there is another way); summing the arms that fill one chest (tile, reach
 * and wagon leave room for one).
 */

export interface Mutation {
  /** What the mutant does wrong. */
  readonly name: string;
  readonly file: string;
  readonly find: string;
  readonly replace: string;
  /** Test files and folders that should notice. */
  readonly tests: readonly string[];
}

type Break = readonly [name: string, file: string, find: string, replace: string];

const breaks = (folder: string, tests: readonly string[], list: readonly Break[]): readonly Mutation[] =>
  list.map(([name, file, find, replace]) => ({ name, file: `${folder}/${file}`, find, replace, tests }));

const SIMULATOR_TESTS = ['test/simulation', 'test/regressions', 'test/oracles/agreement.test.ts'];
const BOUND_TESTS = ['test/pipeline/rates.test.ts', 'test/synthesis/rate-of-any-hand.test.ts', 'test/synthesis/flow-bound.test.ts', 'test/oracles/bounds.test.ts'];
const SEARCH_TESTS = ['test/synthesis', 'test/cases/tiny.test.ts'];
const CHECKER_TESTS = ['test/program'];
const AUDIT_TESTS = ['test/audit'];

export const MUTATIONS: readonly Mutation[] = [
  ...breaks('src/simulation', SIMULATOR_TESTS, [
    ['items close up to less than the pitch', 'tick.ts', 'let place = position[i - 1] - pitch;', 'let place = position[i - 1] - pitch + 1;'],
    ['a tee entry may be a unit short of its join', 'tick.ts', 'if (q < join) return false;', 'if (q < join - 1) return false;'],
    ['a tee entry or a drop wants more than the pitch behind it', 'tick.ts', 'return q - behind >= m.pitch;', 'return q - behind > m.pitch;'],
    ['a tee entry is tested against the tile ahead too late', 'tick.ts', 'aheadOf(m, lane, join + over);', 'FAR;'],
    ['lanes of a side belt join the wrong way round', 'compile.ts', '(downstream ? 3 : 1)', '(downstream ? 1 : 3)'],
    ['the upstream lane of a side belt moves first', 'compile.ts', 'laneJoin[left + 1] > laneJoin[left]', 'laneJoin[left + 1] < laneJoin[left]'],
    ['output toggles never turn', 'tick.ts', 'm.toggleOut[toggle] = 1 - half;', 'm.toggleOut[toggle] = half;'],
    ['a crossing needs more than the pitch', 'tick.ts', 'if (ahead >= m.pitch) {', 'if (ahead > m.pitch) {'],
    ['a crossing has no second choice', 'tick.ts', '    half = 1 - half;', '    break;'],
    ['input toggles name the half that went', 'tick.ts', 'm.toggleIn[toggle] = leftFirst ? 1 : 0;', 'm.toggleIn[toggle] = leftFirst ? 0 : 1;'],
    ['input toggles turn where nothing crossed', 'tick.ts', 'if (favoured < 0 && (leftFirst ? leftCrossed : rightCrossed))', 'if (favoured < 0)'],
    ['an item lands on the line, whatever is left of its move', 'tick.ts', 'land(m, lane, over < ahead - m.pitch ? over : ahead - m.pitch);', 'land(m, lane, 0);'],
    ['a hand is filled from a container in no time', 'tick.ts', 'now + m.armGrab[arm] + swing;', 'now + swing;'],
    ['an arm leaves a belt in the tick of its last take', 'tick.ts', 'm.armDue[arm] = now + 1 + swing;', 'm.armDue[arm] = now + swing;'],
    ['patience lasts a tick longer', 'tick.ts', 'now >= m.armLastTake[arm] + patience', 'now > m.armLastTake[arm] + patience'],
    ['takes from a belt are a tick apart', 'tick.ts', 'm.armGrabDue[arm] = now + m.armGrab[arm];', 'm.armGrabDue[arm] = now + 1;'],
    ['placings are a tick apart', 'tick.ts', 'm.armDue[arm] = m.now + m.armRelease[arm];', 'm.armDue[arm] = m.now + 1;'],
    ['the swing back starts in the tick of the last placing', 'tick.ts', 'm.armDue[arm] = m.now + 1 + m.armSwing[arm];', 'm.armDue[arm] = m.now + m.armSwing[arm];'],
    ['slack is used upstream only', 'tick.ts', 'let at = m.armPlaceTo[arm];', 'let at = m.armPlaceFrom[arm];'],
    ['spots along and against are swapped', 'compile.ts', '(across ? 2 : along ? 3 : 1)', '(across ? 2 : along ? 1 : 3)'],
    ['lanes along and against are swapped', 'compile.ts', 'sideToward(carrier.heading, arm.heading) : along ? RIGHT : LEFT;\n  if', 'sideToward(carrier.heading, arm.heading) : along ? LEFT : RIGHT;\n  if'],
    ['an arm picks from the farther lane first', 'compile.ts', 'return [first, 1 - first];', 'return [1 - first, first];'],
    ['arms reach into the tunnel of an underpass', 'compile.ts', 'carrier.leftLength - unitsPerTile : 0', 'unitsPerTile : 0'],
    ['a border belongs to the tile ahead', 'compile.ts', 'armPickFrom[k] = from === 0 ? -1 : from;', 'armPickFrom[k] = from - 1;'],
    ['tiles are merged before a spot on their border', 'compile.ts', 'segment !== undefined) cut[segment] = 1;', 'segment !== undefined) cut[segment] = 0;'],
    ['tiles of different speeds are merged', 'compile.ts', '(from, to) => cut[to] === 0 && segments[from].carrier.speed === segments[to].carrier.speed,', '(_from, to) => cut[to] === 0,'],
    ['credit of a metered exit piles up', 'tick.ts', 'if (m.exitCredit[exit] > most) m.exitCredit[exit] = most;', ''],
    ['the lane that had the last item goes first', 'tick.ts', 'const turn = 1 - m.exitLast[m.laneTo[first] >> 1];', 'const turn = m.exitLast[m.laneTo[first] >> 1];'],
    ['gaps count the rest of a move the wrong way', 'tick.ts', '+ m.gapLastRest[exitLane] - rest;', '- m.gapLastRest[exitLane] + rest;'],
    ['the gap round the period is left out', 'trial.ts', 'return Math.max(within, round);', 'return within < 0 ? round : within;'],
    ['a side feeder goes before through traffic', 'carrier-order.ts', 'allMoved(movers[index].after) && allMoved(movers[index].afterThrough)', 'allMoved(movers[index].after)'],
    ['any ring is opened first', 'carrier-order.ts', 'onRing.find((mover) => onRing.every((other) => !reaches(mover, other) || reaches(other, mover)));', 'onRing.at(-1);'],
    ['a packed stretch is kept where an item enters', 'lanes.ts', 'm.laneCount[lane]++;\n  if (m.lanePacked[lane] > index) m.lanePacked[lane] = index;', 'm.laneCount[lane]++;'],
    ['a packed stretch is kept where an item is taken', 'lanes.ts', 'm.laneCount[lane]--;\n  if (m.lanePacked[lane] > index) m.lanePacked[lane] = index;', 'm.laneCount[lane]--;'],
    ['a packed stretch stays as long when its first item leaves', 'lanes.ts', 'if (m.lanePacked[lane] > 0) m.lanePacked[lane]--;', ''],
    ['states that differ in output toggles are taken for one', 'steady-state.ts', 'm.toggleIn[i] + 2 * m.toggleOut[i];', 'm.toggleIn[i];'],
    ['states that differ in a clock for grabbing are taken for one', 'steady-state.ts', 'm.armGrabDue[arm] > now ? m.armGrabDue[arm] - now : 0;', '0;'],
    ['states that differ in patience are taken for one', 'steady-state.ts', 'now - m.armLastTake[arm];', '0;'],
    ['states that differ in credit are taken for one', 'steady-state.ts', 'm.exitCredit[exit] % 0x4000_0000;', '0;'],
    ['states that differ in the turn of an exit are taken for one', 'steady-state.ts', 'into[at++] = m.exitLast[exit];', 'into[at++] = 0;'],
    ['states that differ in hands are taken for one', 'steady-state.ts', '(m.armPhase[arm] === Phase.pick ? 0 : 1) + 2 * m.armHand[arm];', 'm.armPhase[arm] === Phase.pick ? 0 : 1;'],
    ['an unfinished run is called exact', 'steady-state.ts', 'return { orbit: orbitFrom(m, since, 0, measured, false)', 'return { orbit: orbitFrom(m, since, 0, measured, true)'],
    ['the left lane need not meet its target', 'verify.ts', '      fractionIsLess(onLeft, ticks, left[0], left[1]) ||\n', ''],
    ['the right lane need not meet its target', 'verify.ts', ' ||\n      fractionIsLess(onRight, ticks, right[0], right[1])', ''],
    ['exits together need not meet their target', 'verify.ts', 'isLess(flowTogether(program, settled), options.together)', 'isLess(options.together, ZERO)'],
    ['exits together promise the last start', 'least-flows.ts', 'together = minRational(together ?? sum, sum);', 'together = sum;'],
    ['the last start is left out', 'verify.ts', 'for (; start <= options.starts && failure', 'for (; start < options.starts && failure'],
    ['unproven starts pass', 'verify.ts', 'settled.some(({ orbit }) => !orbit.exact)', 'settled.length < 0'],
    ['chests that just keep up fail', 'supply.ts', 'out.compare(presence.mul(brought)) <= 0', 'out.compare(presence.mul(brought)) < 0'],
    ['presence is left out', 'supply.ts', 'out.compare(presence.mul(brought))', 'out.compare(brought)'],
    ['staggers leave out the last tick of a cycle', 'starts.ts', 'return grabTicks + 2 * swingTicks + 1 + payload', 'return grabTicks + 2 * swingTicks + payload'],
    ['every staggered start is the same', 'starts.ts', '(seed ^ Math.imul(start, 0x9e3779b1))', 'seed'],
    ['the promise is that of the last start', 'least-flows.ts', 'flow: minRational(before.flow, flow),', 'flow,'],
    ['an arm between containers counts a cycle once it is whole', 'counts.ts', 'Math.ceil(Math.max(0, ticks', 'Math.floor(Math.max(0, ticks'],
  ]),
  ...breaks('src/synthesis', BOUND_TESTS, [
    ['chests are filled a tick later', 'rate-model.ts', 'ratio(arm.payload, arm.grabTicks + 2 * arm.swingTicks + 1);', 'ratio(arm.payload, arm.grabTicks + 2 * arm.swingTicks + 2);'],
    ['cycles take a tick more', 'rate-model.ts', '2 * arm.swingTicks + 1 + leastEmptyingTicks', '2 * arm.swingTicks + 2 + leastEmptyingTicks'],
    ['a spot clears by a whole pitch only', 'rate-model.ts', 'Math.min(catalog.pitch, room + drop.testsEndAfter + 1);', 'catalog.pitch;'],
    ['a hand empties onto one lane at a line', 'rate-model.ts', 'const perLane = Math.ceil(items / lanes);', 'const perLane = items;'],
    ['the second half begins a whole clearing later', 'rate-model.ts', '? Math.min(arm.releaseTicks, clear) : 0;', '? clear : 0;'],
    ['slack spares no way', 'rate-model.ts', '(perLane - 1) * pitch - (low - high);', '(perLane - 1) * pitch;'],
    ['one item less lies before the end of the tests', 'rate-model.ts', 'Math.floor((low + drop.testsEndAfter) / pitch) + 1;', 'Math.floor((low + drop.testsEndAfter) / pitch);'],
    ['items pass the end of the tests one by one', 'rate-model.ts', 'Math.min(leave, Math.floor(pitch / beyond));', 'leave;'],
    ['hands follow each other on one lane at a line', 'rate-model.ts', "ratio(drop.kind === 'line' ? drop.outputs : 1, clear)", 'ratio(1, clear)'],
    ['hands are always full', 'rate-model.ts', 'for (let items = 1; items <= arm.payload', 'for (let items = arm.payload; items <= arm.payload'],
    ['ends of lanes take a tick more for each run', 'rate-model.ts', 'ratio(pitches + 1, apart + run)', 'ratio(pitches + 1, apart + run + 1)'],
    ['tee merges bring items no further than 3/4', 'rate-model.ts', 'const byTee = unitsPerTile / 4 - most;', 'const byTee = unitsPerTile / 4;'],
    ['ends of lanes know no slack', 'rate-model.ts', 'Math.max(0, Math.ceil(shortest / 4) - slack)', 'Math.ceil(shortest / 4)'],
    ['nothing changes halves', 'flow-bound.ts', 'flow.addEdge(nodes[index][lane], nodes[mate.index][lane + 2], most);', ';'],
    ['tee merges go to the farther lane', 'flow-bound.ts', "entry === 'tee-left' ? 0 : entry === 'tee-right' ? 1 : lane;", "entry === 'tee-left' ? 1 : entry === 'tee-right' ? 0 : lane;"],
    ['a dividing line has one output', 'flow-bound.ts', 'outputs: open.length > 1 ? 2 : 1,', 'outputs: 1,'],
    ['tests go on past a dividing line', 'flow-bound.ts', 'return past + unitsPerTile / 2;', 'return Infinity;'],
    ['an arm at a line serves its own half', 'flow-bound.ts', 'flow.addEdge(arm, nodes[mate.index][lane + 2], most);', ';'],
  ]),
  ...breaks('src/synthesis', SEARCH_TESTS, [
    ['splitters to come cross no line', 'carrier-bound.ts', 'lines - exitsLeft - this.splitterCover * splittersLeft);', 'lines - exitsLeft);'],
    ['splitters to come cover no place', 'carrier-bound.ts', 'openPlaces - exitsLeft - 2 * splittersLeft);', 'openPlaces - exitsLeft);'],
    ['an exit and its place are paid for twice', 'carrier-bound.ts', 'Math.max(0, lines - exitsLeft -', 'Math.max(0, lines -'],
    ['an underpass spans two lines less', 'carrier-bound.ts', 'costs[Math.max(0, n - span - 1)]', 'costs[Math.max(0, n - span + 1)]'],
    ['every arm to come stands among the first', 'carrier-bound.ts', 'if (!wholeCrew && map.demands.length > 1) {', 'if (map.demands.length < 0) {'],
    ['with one exit a splitter crosses one line', 'carrier-bound.ts', 'map.demands.length > 1 ? 3 : 2;', 'map.demands.length > 1 ? 3 : 1;'],
    ['the line before the first place is crossed too', 'carrier-bound.ts', 'needS[line], line > minY && line <= south', 'needS[line], line >= minY && line <= south'],
    ['open places come together whatever the exits', 'carrier-bound.ts', 'const single = map.demands.length === 1;', 'const single = true;'],
    ['demand takes one move more across each line', 'carrier-bound.ts', 'Math.max(belts, Math.ceil(flow / perMove));', 'Math.max(belts, Math.ceil(flow / perMove) + 1);'],
    ['a line to be searched has one output', 'lane-flow.ts', 'net.next[carrier] === DEAD || net.next[mate] === DEAD ? 1 : 2;', '1;'],
    ['an open place bears one lane', 'lane-flow.ts', 'lanes * this.map.mostLaneCapacity);', '(lanes / 2) * this.map.mostLaneCapacity);'],
    ['a side feeder stays a turn', 'lane-flow.ts', 'const undecided = !tee && this.mayGetFeeder(to, heading);', 'const undecided = false;'],
    ['a splitter to come covers one drop', 'lane-flow.ts', 'this.splittersLeft + Math.min(pairs, this.splittersLeft);', 'this.splittersLeft;'],
    ['splitters to come add nothing', 'lane-flow.ts', 'if (gain > 0) graph.addEdge(gains, openAny, gain);', ''],
    ['the way south is a tile longer', 'least-moves.ts', 'return outside(x) + map.depth - y;', 'return outside(x) + map.depth - y + 1;'],
    ['exits that are nearer take nothing of a common target', 'carrier-bound.ts', 'Math.max(flow, map.wanted - nearer)', 'Math.max(flow, map.wanted)'],
    ['an exit without a target takes two arms', 'bill-program.ts', "...unless(1)], '>=', 1);", "...unless(1)], '>=', 2);"],
    ['the bill has an arm too many', 'bill-program.ts', "'>=', Math.ceil(demand / bestRate));", "'>=', Math.ceil(demand / bestRate) + 1);"],
  ]),
  ...breaks('src/program', CHECKER_TESTS, [
    ['<= is taken for <', 'check-solution.ts', 'compared <= 0 : compared >= 0', 'compared < 0 : compared >= 0'],
    ['>= is taken for >', 'check-solution.ts', 'compared <= 0 : compared >= 0', 'compared <= 0 : compared > 0'],
    ['= is taken for <=', 'check-solution.ts', "relation === '=' ? compared === 0", "relation === '=' ? compared <= 0"],
    ['= is taken for >=', 'check-solution.ts', "relation === '=' ? compared === 0", "relation === '=' ? compared >= 0"],
    ['upper bounds do not count', 'check-solution.ts', ' || value > upper + slack', ''],
    ['lower bounds do not count', 'check-solution.ts', 'value < lower - slack || ', ''],
    ['bounds of whole variables have a tolerance', 'check-solution.ts', "const slack = kind === 'integer' ? 0 : ", 'const slack = '],
    ['bounds of continuous variables have none', 'check-solution.ts', "const slack = kind === 'integer' ? 0 : CONTINUOUS_TOLERANCE", 'const slack = 0'],
    ['whole variables need not be whole', 'check-solution.ts', '!Number.isSafeInteger(value) : !Number.isFinite(value)', '!Number.isFinite(value) : !Number.isFinite(value)'],
    ['an infinite flow is a flow', 'check-solution.ts', '!Number.isSafeInteger(value) : !Number.isFinite(value)', '!Number.isSafeInteger(value) : Number.isNaN(value)'],
    ['rows do not count', 'check-solution.ts', "if (!holds(compared, relation)) violations.push({ kind: 'row', row: name });", ''],
    ['whole rows are held to a tolerance', 'check-solution.ts', 'const whole = terms.every(isWhole);', 'const whole = false;'],
    ['everything is called exact', 'check-solution.ts', 'exact &&= whole;', ''],
    ['the tolerance is wide', 'check-solution.ts', 'CONTINUOUS_TOLERANCE = 1e-6', 'CONTINUOUS_TOLERANCE = 1e-2'],
    ['the tolerance does not grow with the terms', 'check-solution.ts', 'greatest = Math.max(greatest, Math.abs(product));', ''],
    ['too many values pass', 'check-solution.ts', 'values.length !== variables.length', 'values.length < variables.length'],
    ['an optimum is off by one', 'check-solution.ts', 'const sum = Number(exactSum(objective, values));', 'const sum = Number(exactSum(objective, values)) + 1;'],
    ['an optimum of flows is off by one', 'check-solution.ts', 'coefficient * values[variable], 0);', 'coefficient * values[variable], 1);'],
    ['an objective of flows is called exact', 'check-solution.ts', 'return { ok: true, objective: sum, exact: false };', 'return { ok: true, objective: sum, exact };'],
    ['an objective beyond whole numbers passes', 'check-solution.ts', 'if (!Number.isSafeInteger(sum))', 'if (Number.isNaN(sum))'],
  ]),
  ...breaks('src/audit', AUDIT_TESTS, [
    ['seals are not compared', 'seal.ts', "return stated !== undefined && stated === digest(before, text.replace(ENDING, ''));", 'return stated !== undefined;'],
    ['a seal tells nothing of the line before', 'seal.ts', '.update(`${before}\\n${body}`)', '.update(`${body}${before.slice(99)}`)'],
    ['any bound will do', 'ledger.ts', 'bound !== undefined && bound > least', 'bound !== undefined && bound > least + 100'],
    ['a family may be raised from any price', 'ledger.ts', 'if (known !== from) return', 'if (known > from + 100) return'],
    ['prices may fall', 'ledger.ts', 'return to < from ? [', 'return to < from - 100 ? ['],
    ['the rest may get cheaper', 'ledger.ts', 'if (rest < this.rest)', 'if (rest < this.rest - 100)'],
    ['an optimum need not be the bound', 'ledger.ts', "status === 'optimal' ? bound !== best", "status === 'optimal' ? bound === undefined"],
    ['infeasible is taken at its word', 'ledger.ts', "status === 'infeasible' && least <= most", "status === 'infeasible' && least < 0"],
    ['no bill left up to a price is no bill left', 'ledger.ts', 'answer === undefined ? mostPrice + 1 :', 'answer === undefined ? Infinity :'],
    ['bills cost what they say', 'ledger.ts', 'if (found !== fixed || fixed > objective)', 'if (fixed > objective)'],
    ['the second solver is not listened to', 'programs.ts', 'found === answer?.objective ?', 'found === found ?'],
    ['networks are split where they join', 'networks.ts', 'tie(index, carrierOn(stepFrom(at, heading)));', 'tie(index, index);'],
    ['a state counts as come back where the log says so', 'steady-flow.ts', 'if (run.tick() > first.tick && run.key() === first.key)', 'if (run.tick() > first.tick)'],
    ['a landmark is always met', 'steady-flow.ts', 'if (run.key() === landmark.key)', 'if (run.key() !== landmark.key)'],
    ['lanes need not carry their share', 'shortfall.ts', "['left', exit.left, target.left],", "['left', exit.left, exit.left],"],
    ['exits need not carry theirs', 'shortfall.ts', "['both', exit.left.add(exit.right), target.total],", "['both', target.total, target.total],"],
    ['sums do not count', 'shortfall.ts', 'if (isLess(found, brief.together))', 'if (isLess(brief.together, found))'],
    ['chests always keep up', 'shortfall.ts', 'else if (isLess(brought, outflow))', 'else if (isLess(outflow, outflow))'],
    ['presence does not count', 'shortfall.ts', 'supply.mul(brief.presence)', 'supply.mul(1)'],
    ['a network ruled out is believed', 'replay.ts', "return isOpen ? 'unfinished' : [{ kind: 'not-short' }];", "return isOpen ? 'unfinished' : [];"],
    ['a network that passed is believed', 'replay.ts', "if (shortfall !== undefined) return [{ kind: 'short', shortfall }];", ''],
    ['a start of the plan is believed', 'replay.ts', "if (shortfalls.length > 0) return shortfalls.map((shortfall) => ({ kind: 'short', shortfall }));", ''],
    ['what came to no end counts as rechecked', 'replay.ts', "if (outcome === 'unfinished') unfinished++;", "if (outcome === 'unfinished') rechecked++;"],
    ['a part of a log is a whole', 'replay.ts', "isWhole ? 'holds' : 'partly'", "isWhole ? 'holds' : 'holds'"],
    ['the worst start of chests is any', 'replay.ts', 'const isWorse = known === undefined ||', 'const isWorse = known !== undefined &&'],
    ['any start will do', 'survey.ts', "return isNext && place < moves.length * (brief.starts + 1) && isStandard ? [] : [{ kind: 'start-unexpected' }];", 'return [];'],
    ['starts may be missing', 'survey.ts', 'this.starts < expected', 'this.starts < 0'],
    ['steps come in any order', 'survey.ts', 'if (!mayFollow(line.step, this.last))', 'if (!mayFollow(line.step, this.last) && number < 0)'],
    ['steps may be missing', 'survey.ts', 'return stated === found ? [] :', 'return stated >= found ? [] :'],
    ['the plan costs what it says', 'check-plan.ts', 'if (found !== stated)', 'if (found < 0)'],
    ['exits may be anywhere', 'check-plan.ts', 'along >= demand.from && along <= demand.to', 'along >= demand.from'],
    ['exits may leave over any edge', 'check-plan.ts', 'return heading === demand.edge && ', 'return '],
    ['arms may draw from anywhere', 'check-plan.ts', "(isDirect && feed !== 'chests') || (isFromChest && feed !== 'direct')", 'isDirect || isFromChest'],
    ['layouts need not be legal', 'read-line.ts', 'return findings.length === 0 ? { ok: true, value: { layout, demands } }', 'return findings.length >= 0 ? { ok: true, value: { layout, demands } }'],
    ['two exits may serve one of the brief', 'read-line.ts', '|| demands.indexOf(demand) !== index', ''],
  ]),
];

/**
 * Trains that come and leave (world rules, section 11, "Trains").
 */
import { happened, type Container, type World } from './world.js';

/** When trains come, how long they stand, and when they leave before that. */
export interface Timetable {
  /** Least ticks from one arrival to the next; undefined: a train comes as soon as the one before has left. */
  readonly headwayTicks: number | undefined;
  /** Most ticks that a train stands there; undefined: until it is empty. */
  readonly stayTicks: number | undefined;
  /** When a train leaves before that: once it is empty (also where left out), or once it is full. */
  readonly leaves?: 'empty' | 'full' | undefined;
}

/** A train's stay: ticks that had passed when it came and when it left, and what it took away again. */
export interface ReferenceVisit {
  readonly arrived: number;
  readonly left: number;
  readonly takenAway: number;
}

const standEmpty = (container: Container): void => {
  container.held = 0;
  container.room = 0;
};

export class Trains {
  readonly visits: ReferenceVisit[] = [];
  /** What all trains that came have brought. */
  brought = 0;
  private stands = false;
  /** The first tick of the last train that came. */
  private arrivedIn: number | undefined;

  /** `load`: what each train brings, wagon by wagon. */
  constructor(
    private readonly world: World,
    private readonly timetable: Timetable,
    private readonly load: readonly number[],
  ) {
    for (const wagon of world.wagons) standEmpty(wagon);
  }

  arrive(): void {
    const { world, load } = this;
    if (this.stands) return;
    const isEarly = this.arrivedIn !== undefined && world.now - this.arrivedIn < (this.timetable.headwayTicks ?? 0);
    if (isEarly) return;
    this.stands = true;
    this.arrivedIn = world.now;
    world.wagons.forEach((wagon, index) => {
      wagon.held = load[index];
      wagon.room = world.layout.wagons[index].model.capacity - load[index];
      this.brought += load[index];
    });
    happened(world.events, 'train: arrived');
  }

  leave(): void {
    const { world, timetable } = this;
    if (!this.stands || this.arrivedIn === undefined) return;
    const takenAway = world.wagons.reduce((sum, wagon) => sum + wagon.held, 0);
    const stood = world.now - this.arrivedIn + 1;
    const isDone = timetable.leaves === 'full' ? world.wagons.every((wagon) => wagon.room === 0) : takenAway === 0;
    if (!isDone && stood < (timetable.stayTicks ?? Infinity)) return;
    this.stands = false;
    for (const wagon of world.wagons) standEmpty(wagon);
    this.visits.push({ arrived: this.arrivedIn - 1, left: world.now, takenAway });
    if (timetable.leaves === 'full') happened(world.events, isDone ? 'train: left full' : 'train: left before it was full');
    else happened(world.events, isDone ? 'train: left empty' : 'train: left before it was empty');
  }

  /** What the future depends on. */
  get key(): readonly [boolean, number] {
    return [this.stands, this.world.now - (this.arrivedIn ?? this.world.now)];
  }
}

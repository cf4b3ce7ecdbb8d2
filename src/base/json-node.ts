/**
 * A walk through untrusted JSON: each step is safe, and a value is handed out only where it has
 * the asked-for type and the schema had no complaint about it. So checks that no schema can state
 * still run on all that is sound, and bad input gets all its findings at once.
 */
import { pointerTo } from './json-pointer.js';

const isRecord = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

export class JsonNode {
  /** `unsound`: pointers of the values that the schema complains about. */
  constructor(
    private readonly value: unknown,
    private readonly unsound: ReadonlySet<string>,
    readonly pointer = '',
  ) {}

  /** Whether anything stands here, sound or not. */
  get isPresent(): boolean {
    return this.value !== undefined;
  }

  get isObject(): boolean {
    return isRecord(this.value);
  }

  get isList(): boolean {
    return Array.isArray(this.value);
  }

  at(key: string | number): JsonNode {
    const { value } = this;
    const own = typeof value === 'object' && value !== null && Object.hasOwn(value, key);
    const inner: unknown = own ? Reflect.get(value, key) : undefined;
    return new JsonNode(inner, this.unsound, pointerTo(this.pointer, key));
  }

  text(): string | undefined {
    return typeof this.value === 'string' && this.isSound() ? this.value : undefined;
  }

  /** A number without a fraction that is told apart from its neighbours. */
  whole(): number | undefined {
    return typeof this.value === 'number' && Number.isSafeInteger(this.value) && this.isSound() ? this.value : undefined;
  }

  truth(): boolean | undefined {
    return typeof this.value === 'boolean' && this.isSound() ? this.value : undefined;
  }

  /** The text, if it is one of these. */
  oneOf<T extends string>(allowed: readonly T[]): T | undefined {
    const text = this.text();
    return allowed.find((candidate) => candidate === text);
  }

  /** Empty where this is no list. */
  items(): readonly JsonNode[] {
    return Array.isArray(this.value) ? this.value.map((_, index) => this.at(index)) : [];
  }

  /** Empty where this is no object. */
  entries(): readonly (readonly [string, JsonNode])[] {
    return isRecord(this.value) ? Object.keys(this.value).map((key) => [key, this.at(key)] as const) : [];
  }

  /** Numbers of a list of just this length, if all are sound. */
  wholes(length: number): readonly number[] | undefined {
    const numbers = this.items().map((item) => item.whole());
    const sound = numbers.filter((number) => number !== undefined);
    return sound.length === length && numbers.length === length && this.isSound() ? sound : undefined;
  }

  private isSound(): boolean {
    return !this.unsound.has(this.pointer);
  }
}

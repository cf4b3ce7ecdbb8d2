/**
 * A linear program with whole or continuous variables, as readonly data, and the builder that makes
 * one. It knows no tiles: what a variable means is known only to whoever built the program.
 * Every number in it is a safe integer and every variable is bounded on both sides, so that an
 * answer can be rechecked exactly and no program is unbounded. Solving is behind `solver.ts`.
 */
import { invariant } from '../base/invariant.js';

declare const brand: unique symbol;
/** A variable's place in `Program.variables`, made only by the builder. */
export type VariableId = number & { readonly [brand]: 'VariableId' };

interface Variable {
  readonly name: string;
  readonly kind: 'integer' | 'continuous';
  readonly lower: number;
  readonly upper: number;
}

/** coefficient x variable; in a program's rows no variable comes twice and no coefficient is 0. */
export type Term = readonly [coefficient: number, variable: VariableId];

export type Relation = '<=' | '>=' | '=';

export interface Row {
  readonly name: string;
  readonly terms: readonly Term[];
  readonly relation: Relation;
  readonly rhs: number;
}

type Sense = 'minimise' | 'maximise';

export interface Program {
  readonly name: string;
  readonly sense: Sense;
  readonly objective: readonly Term[];
  /** Indexed by VariableId. */
  readonly variables: readonly Variable[];
  readonly rows: readonly Row[];
}

/** Gathers variables and rows; terms of one variable are added up, zeros dropped. */
export class ProgramBuilder {
  readonly #name: string;
  readonly #sense: Sense;
  readonly #variables: Variable[] = [];
  readonly #rows: Row[] = [];
  readonly #names = new Set<string>();
  readonly #objective: Term[] = [];

  constructor(name: string, sense: Sense) {
    this.#name = name;
    this.#sense = sense;
  }

  integer(name: string, lower: number, upper: number): VariableId {
    return this.#add({ name, kind: 'integer', lower, upper });
  }

  binary(name: string): VariableId {
    return this.integer(name, 0, 1);
  }

  continuous(name: string, lower: number, upper: number): VariableId {
    return this.#add({ name, kind: 'continuous', lower, upper });
  }

  upperOf(variable: VariableId): number {
    return this.#variables[variable].upper;
  }

  /** Adds a row; its name, where none is given, is "r" and its index. */
  row(terms: readonly Term[], relation: Relation, rhs: number, name = `r${this.#rows.length}`): this {
    invariant(Number.isSafeInteger(rhs), 'a right-hand side is a safe integer', { name, rhs });
    this.#rows.push({ name, terms: this.#gather(terms, name), relation, rhs });
    return this;
  }

  /** Adds terms to the objective. */
  objective(terms: readonly Term[]): this {
    this.#objective.push(...terms);
    return this;
  }

  build(): Program {
    return {
      name: this.#name,
      sense: this.#sense,
      objective: this.#gather(this.#objective, 'objective'),
      variables: [...this.#variables],
      rows: [...this.#rows],
    };
  }

  #add(variable: Variable): VariableId {
    const { name, lower, upper } = variable;
    invariant(!this.#names.has(name), 'names of variables differ', { name });
    invariant(Number.isSafeInteger(lower) && Number.isSafeInteger(upper), 'bounds are safe integers', { ...variable });
    invariant(lower <= upper, 'lower <= upper', { ...variable });
    this.#names.add(name);
    this.#variables.push(variable);
    return (this.#variables.length - 1) as VariableId;
  }

  #gather(terms: readonly Term[], where: string): readonly Term[] {
    const sums = new Map<VariableId, number>();
    for (const [coefficient, variable] of terms) {
      invariant(variable < this.#variables.length, 'a term names a variable of this program', { where });
      sums.set(variable, (sums.get(variable) ?? 0) + coefficient);
    }
    const gathered: Term[] = [];
    for (const [variable, coefficient] of sums) {
      invariant(Number.isSafeInteger(coefficient), 'a coefficient is a safe integer', { where, coefficient });
      if (coefficient !== 0) gathered.push([coefficient, variable]);
    }
    return gathered;
  }
}

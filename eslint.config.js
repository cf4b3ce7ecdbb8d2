/**
 * Lint rules. The type checker has its own strictness in tsconfig.json, and the walls between
 * rooms are in .dependency-cruiser.cjs; here is what neither of them can see.
 */
import { defineConfig, globalIgnores } from 'eslint/config';
import tseslint from 'typescript-eslint';

const FILE_SYSTEM = ['fs', 'fs/promises', 'node:fs', 'node:fs/promises'];

/** An `expect(...)` that is a whole statement asserts nothing: the test passes whatever the code does. */
const BARE_EXPECT = {
  selector: "ExpressionStatement > CallExpression[callee.name='expect']",
  message: 'This expect has no matcher, so it can never fail.',
};
const BARE_MATCHER = {
  selector: "ExpressionStatement > MemberExpression[object.callee.name='expect']",
  message: 'This matcher is named but not called, so it can never fail.',
};
const ONLY = {
  selector: "MemberExpression[object.name=/^(it|test|describe)$/][property.name='only']",
  message: 'A focused test hides all the others.',
};

export default defineConfig(
  globalIgnores(['dist/', 'coverage/', 'node_modules/']),
  {
    files: ['**/*.ts'],
    extends: [tseslint.configs.recommendedTypeChecked],
    languageOptions: { parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname } },
    linterOptions: { reportUnusedDisableDirectives: 'error' },
    rules: {
      '@typescript-eslint/consistent-type-imports': ['error', { fixStyle: 'inline-type-imports' }],
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-non-null-assertion': 'error',
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      '@typescript-eslint/prefer-readonly': 'error',
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true }],
      '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }],
      eqeqeq: 'error',
      'no-param-reassign': 'error',
      'prefer-const': 'error',
    },
  },
  {
    files: ['src/**/*.ts'],
    ignores: ['src/cli/**'],
    rules: {
      'no-console': 'error',
      'no-restricted-imports': [
        'error',
        { paths: FILE_SYSTEM.map((name) => ({ name, message: 'Files are read and written in src/cli only.' })) },
      ],
      'no-restricted-globals': [
        'error',
        { name: 'process', message: 'Only src/cli knows the process; hand in what is needed.' },
      ],
    },
  },
  {
    files: ['test/**/*.ts'],
    rules: { 'no-restricted-syntax': ['error', BARE_EXPECT, BARE_MATCHER, ONLY] },
  },
);

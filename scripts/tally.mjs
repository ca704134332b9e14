// Adds up test reports (go test -json, vitest json, playwright json) and prints one closing line.
// With --failures it prints the output of the Go tests that failed instead.
import { existsSync, readFileSync } from 'node:fs';

const total = { passed: 0, failed: 0, skipped: 0 };
const skippedNames = [];
/** What failed browser tests have to say, for the closing lines. */
const told = [];

function goEvents(text) {
  return text
    .split('\n')
    .filter((line) => line.startsWith('{'))
    .map((line) => JSON.parse(line));
}

function addGo(text) {
  const outputs = new Map();
  const withFailedTest = new Set();
  for (const e of goEvents(text)) {
    const key = `${e.Package}\n${e.Test ?? ''}`;
    if (e.Action === 'output') outputs.set(key, (outputs.get(key) ?? '') + e.Output);
    if (!e.Test) {
      // A package that does not build or panics fails without a test of its own.
      if (e.Action === 'fail' && !withFailedTest.has(e.Package)) total.failed++;
      continue;
    }
    if (e.Action === 'pass') total.passed++;
    if (e.Action === 'fail') {
      total.failed++;
      withFailedTest.add(e.Package);
    }
    if (e.Action === 'skip') {
      total.skipped++;
      const said = (outputs.get(key) ?? '').split('\n').find((l) => l.includes('_test.go:')) ?? '';
      skippedNames.push(`${e.Package} ${e.Test}:${said.replace(/^.*_test\.go:\d+:/, '')}`);
    }
  }
}

function showGoFailures(text) {
  const outputs = new Map();
  for (const e of goEvents(text)) {
    const key = `${e.Package}\n${e.Test ?? ''}`;
    if (e.Action === 'output' || e.Action === 'build-output') outputs.set(key, (outputs.get(key) ?? '') + e.Output);
    if (e.Action === 'build-output') process.stdout.write(e.Output);
    if (e.Action === 'fail') process.stdout.write(`FAILED ${e.Package} ${e.Test ?? ''}\n${outputs.get(key) ?? ''}`);
    if (e.Action === 'pass' && !e.Test) console.log(`ok ${e.Package} ${e.Elapsed}s`);
  }
}

function addVitest(report) {
  total.passed += report.numPassedTests;
  total.failed += report.numFailedTests + (report.success || report.numFailedTests ? 0 : 1);
  total.skipped += report.numPendingTests + report.numTodoTests;
}

function addPlaywright(report) {
  total.passed += report.stats.expected + report.stats.flaky;
  total.failed += report.stats.unexpected + report.errors.length;
  total.skipped += report.stats.skipped;
  for (const spec of specsOf(report)) {
    for (const { status, annotations, results } of spec.tests.filter((t) => t.status === 'unexpected')) {
      told.push(`failed ${spec.file}:${spec.line} ${spec.title} (${status})`);
      const message = results.at(-1)?.error?.message ?? '';
      told.push(...plain(message).split('\n').filter(Boolean).slice(0, 8).map((line) => `  ${line}`));
      for (const { type, description } of annotations) told.push(`  ${type}: ${description}`);
    }
  }
}

/** All tests of a suite and of the suites within. */
function specsOf({ specs = [], suites = [] }) {
  return [...specs, ...suites.flatMap(specsOf)];
}

/** Text without a terminal's colours. */
function plain(text) {
  return text.replace(/\u001b\[[0-9;]*m/g, '');
}

const args = process.argv.slice(2);
if (args[0] === '--failures') {
  showGoFailures(readFileSync(args[1], 'utf8'));
} else {
  for (const file of args) {
    if (!existsSync(file)) {
      console.log(`no report ${file}`);
      continue;
    }
    const text = readFileSync(file, 'utf8');
    if (file.endsWith('go.json')) addGo(text);
    else if (file.endsWith('vitest.json')) addVitest(JSON.parse(text));
    else addPlaywright(JSON.parse(text));
  }
  for (const line of told) console.log(line);
  for (const name of skippedNames) console.log(`skipped ${name}`);
  console.log(`${total.passed} passed, ${total.failed} failed, ${total.skipped} skipped`);
  if (total.failed > 0 || total.passed === 0) process.exit(1);
}

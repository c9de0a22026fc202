// Validates Signal K deltas with the standard's own JSON Schema: tests/peers/validate-deltas.js < DELTAS
//
// The delta schema does not describe the contents of a notification, so each value on `notifications.*` is also
// validated against the standard's definition of a notification and the names that it allows.
//
// Standard input has one delta per line; blank lines are skipped. Each fault is printed with its line number.
// Exit code 0: all deltas are valid; 1: one is not, or there was none; 2: the deltas could not be validated. Run
// it with the installed node, `.installed/npm/node` beside this file.
'use strict'
const fs = require('fs')
const path = require('path')

const installed = process.env.WINDRODE_PEERS || path.join(__dirname, '.installed')
let schema
try {
  schema = require(path.join(installed, 'npm/node_modules/@signalk/signalk-schema'))
} catch (error) {
  console.error(`validate-deltas: the schema cannot be loaded (${error.code || error.message}); install it with: tests/peers/install`)
  process.exit(2)
}

let judged = 0
let faults = 0
fs.readFileSync(0, 'utf8').split('\n').forEach((line, index) => {
  if (line.trim() === '') return
  judged += 1
  for (const fault of faultsOf(line)) {
    faults += 1
    console.log(`line ${index + 1}: ${fault}`)
  }
})
if (judged === 0) console.log('no delta was given')
else console.log(`${judged} deltas judged, ${faults} faults`)
process.exitCode = judged > 0 && faults === 0 ? 0 : 1

function faultsOf(line) {
  let delta
  try {
    delta = JSON.parse(line)
  } catch (error) {
    return [`not JSON: ${error.message}`]
  }
  const verdict = schema.validateDelta(delta)
  if (!verdict.valid) return described(verdict)
  const values = delta.updates.flatMap((update) => update.values || [])
  return values.filter(({ path, value }) => path.startsWith('notifications.') && value !== null).flatMap(notificationFaults)
}

function notificationFaults({ path, value }) {
  const { notificationBranch } = schema.subSchemas.notifications.definitions
  const name = new RegExp(Object.keys(notificationBranch.patternProperties)[0])
  const names = path.split('.').slice(1)
  // A single name may be a well-known one (`mob`), which the expression forbids in longer paths.
  const misnamed = names.length > 1 ? names.filter((part) => !name.test(part)) : []
  const tv4 = schema.getTv4()
  const notification = { $ref: `${schema.subSchemas.notifications.id.replace('#', '')}#/definitions/notification` }
  const leaf = { value, timestamp: '2026-01-01T00:00:00Z', $source: 'windrode' }
  const verdict = tv4.validateMultiple(leaf, notification, true, false)
  if (verdict.missing.length > 0) throw new Error(`the schema lacks ${verdict.missing}`)
  return misnamed.map((part) => `${path}: \`${part}\` is not allowed as a part of a notification's path`).concat(
    verdict.valid ? [] : described(verdict).map((fault) => `${path}: ${fault}`),
  )
}

function described({ errors }) {
  if (errors.length === 0) return ['not valid; the schema does not say why']
  return errors.map((error) => `${error.dataPath || '/'}: ${error.message}`)
}

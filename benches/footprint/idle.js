// An idle client of the data server: receives and parses what the watch receives, keeps the last value of
// each path, and does nothing with it. It is the baseline for the cost of listening.
//
//     node idle.js PORT     the subscribe messages come on standard input, one a line
'use strict'
const path = require('path')
const modules = path.join(process.env.WINDRODE_PEERS, 'npm', 'node_modules')
const WebSocket = require(path.join(modules, 'ws'))

const subscriptions = require('fs').readFileSync(0, 'utf8').split('\n').filter(Boolean)
const socket = new WebSocket(`ws://127.0.0.1:${process.argv[2]}/signalk/v1/stream?subscribe=none`)
const last = new Map()
let frames = 0
socket.on('open', () => subscriptions.forEach((subscription) => socket.send(subscription)))
socket.on('message', (data) => {
  const delta = JSON.parse(data)
  if (frames++ === 0) console.log('hears')
  for (const update of delta.updates || []) {
    for (const { path, value } of update.values || []) last.set(delta.context + path, value)
  }
})
socket.on('close', () => process.exit(1))

// kicad_boards.mjs LANDFALL READER VERSION FOLDER LIST: see kicad_boards.sh. Ends with 1 when a board differs.
import fs from 'node:fs'
import { execFileSync } from 'node:child_process'
import { pathToFileURL } from 'node:url'

const [landfall, reader, version, folder, list] = process.argv.slice(2)
const { parseKicadPcb } = await import(pathToFileURL(reader).href)

// The text of each list directly inside the outermost one.
function inner(text) {
  const lists = []
  let depth = 0
  let start = 0
  for (let i = 0; i < text.length; i++) {
    const c = text[i]
    if (c === '"') {
      for (i++; i < text.length && text[i] !== '"'; i++) if (text[i] === '\\') i++
    } else if (c === '(') {
      if (++depth === 2) start = i
    } else if (c === ')') {
      if (depth === 2) lists.push(text.slice(start, i + 1))
      depth--
    }
  }
  return lists
}

// kicadts is made for KiCad 6 and newer and refuses a file over any word that it does not know. What has no bearing on
// pins and nets is then left out: of the board all but nets and footprints, of a footprint drawings and models.
function reduced(text) {
  const kept = inner(text).filter(one => /^\((version|net|footprint|module)[\s"]/.test(one))
  const small = kept.map(one => {
    for (const part of inner(one)) {
      const drawn = /^\((model|zone|fp_\w+|property|tags|descr)[\s"]/.test(part)
      if (drawn && !/^\((fp_text|property) "?reference[\s"]/i.test(part)) one = one.replace(part, () => '')
    }
    return one
  })
  return '(kicad_pcb ' + small.join('\n') + ')'
}

function read(text) {
  try {
    return { board: parseKicadPcb(text), whole: true }
  } catch {
    return { board: parseKicadPcb(reduced(text)), whole: false }
  }
}

function referenceOf(footprint) {
  const property = (footprint.properties ?? []).find(p => p.key === 'Reference')
  if (property) return property.value ?? ''
  return footprint.fpTexts.find(t => t.type === 'reference')?.text ?? ''
}

// By this program's rule for references that repeat or are empty: REF, REF#2 ..., "?" for none.
function theirs(board) {
  const nets = new Map(board.nets.map(net => [net.id, net.name]))
  const pins = new Map()
  const seen = new Map()
  for (const footprint of board.footprints) {
    const base = referenceOf(footprint) || '?'
    const nth = (seen.get(base) ?? 0) + 1
    seen.set(base, nth)
    const reference = nth === 1 ? base : `${base}#${nth}`
    for (const pad of footprint.fpPads) {
      if (pad.number === '' || pad.padType === 'np_thru_hole') continue
      const id = pad.net?.id
      const net = pad.net === undefined ? '' : (nets.get(id) ?? pad.net.name ?? '')
      const pin = `${reference}\t${pad.number}`
      if (!pins.has(pin) || pins.get(pin) === '') pins.set(pin, net)  // lands of one pin: the one with a net speaks
    }
  }
  return { pins, footprints: board.footprints.length }
}

function ours(file, bench) {
  const run = (...words) => execFileSync(landfall, ['--bench', bench, ...words], { maxBuffer: 1 << 28 }).toString()
  run('import', file, '--name', 'board')
  const pins = new Map()
  for (const line of run('pins', 'board').split('\n')) {
    const [reference, pin, net] = line.split('\t')
    if (net !== undefined) pins.set(`${reference}\t${pin}`, net)
  }
  return { pins, footprints: JSON.parse(run('--json', 'parts', 'board')).parts.length }
}

let differing = 0
let all = 0
let wholes = 0
const files = fs.readFileSync(list, 'utf8').trim().split('\n')
for (const file of files) {
  const { board, whole } = read(fs.readFileSync(file, 'utf8'))
  const a = theirs(board)
  const bench = `${folder}/bench.sqlite`
  for (const end of ['', '-wal', '-shm']) fs.rmSync(bench + end, { force: true })
  const b = ours(file, bench)
  const faults = []
  if (a.footprints !== b.footprints) faults.push(`${a.footprints} footprints there, ${b.footprints} here`)
  for (const [pin, net] of a.pins) {
    if (!b.pins.has(pin)) faults.push(`${pin} is not here`)
    else if (b.pins.get(pin) !== net) faults.push(`${pin} is on '${net}' there and on '${b.pins.get(pin)}' here`)
  }
  for (const pin of b.pins.keys()) if (!a.pins.has(pin)) faults.push(`${pin} is not there`)
  all += a.pins.size
  wholes += whole ? 1 : 0
  differing += faults.length > 0 ? 1 : 0
  const name = file.split('/').pop()
  console.log(`${name}: ${a.footprints} footprints, ${a.pins.size} pins${whole ? '' : ' (nets and footprints alone)'}: ` +
    (faults.length === 0 ? 'the same' : `${faults.length} differences`))
  for (const fault of faults.slice(0, 8)) console.log(`  ${fault.replace('\t', '.')}`)
}
console.log(`kicadts ${version}: ${files.length - differing} of ${files.length} boards the same, ${all} pins; ` +
  `${wholes} files read whole, ${files.length - wholes} by their nets and footprints`)
process.exit(differing === 0 ? 0 : 1)

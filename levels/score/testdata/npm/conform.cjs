// Prints for each file whether it conforms to MusicXML 4.0 as @stringsync/musicxml holds it:
// that library puts its own values in place of what the schema does not allow, so what
// comes out of it differs from what went in. It knows no text in other-play, which the
// published schema allows (complexType other-play: simpleContent, xs:string), so that text
// is taken out first.
const { MusicXML } = require('@stringsync/musicxml');
const xmljs = require('xml-js');
const fs = require('fs');

const sorted = (k, v) => (k === 'attributes' && v ? Object.fromEntries(Object.entries(v).sort()) : v);
const plain = (xml) => JSON.stringify(xmljs.xml2js(xml, { ignoreDeclaration: true, ignoreComment: true, trim: true }), sorted);

const answers = {};
for (const file of process.argv.slice(2)) {
  const xml = fs.readFileSync(file, 'utf8').replace(/<!DOCTYPE[^>]*>\n?/, '').replace(/(<other-play[^>]*>)[^<]*/g, '$1');
  try {
    const a = plain(xml);
    const b = plain(MusicXML.parse(xml).serialize());
    let i = 0;
    while (i < a.length && a[i] === b[i]) i++;
    answers[file] = a === b ? '' : `${a.slice(Math.max(0, i - 150), i + 60)} became ${b.slice(Math.max(0, i - 20), i + 60)}`;
  } catch (e) {
    answers[file] = String(e);
  }
}
console.log(JSON.stringify(answers));

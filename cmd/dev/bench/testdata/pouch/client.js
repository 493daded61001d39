// Gives the entries of a file (one JSON value a line) to the server from one
// device, takes them to another, and does both again with nothing to do. Prints
// the seconds of each as JSON.
const fs = require("node:fs");
const PouchDB = require("pouchdb");
PouchDB.plugin(require("pouchdb-adapter-memory"));

const [, , address, file] = process.argv;
const seconds = async (what) => {
  const from = process.hrtime.bigint();
  const done = await what();
  return [Number(process.hrtime.bigint() - from) / 1e9, done];
};

(async () => {
  const docs = fs.readFileSync(file, "utf8").trim().split("\n").map(JSON.parse);
  docs.forEach((d) => { d._id = d.id; });
  const giver = new PouchDB("giver", { adapter: "memory" });
  const taker = new PouchDB("taker", { adapter: "memory" });
  const out = {};
  await giver.bulkDocs(docs);
  const remote = new PouchDB(address + "/book");
  await remote.info();
  let done;
  [out.push, done] = await seconds(() => giver.replicate.to(remote, { batch_size: 500 }));
  if (done.docs_written !== docs.length) throw new Error(`${done.docs_written} of ${docs.length} given`);
  [out.pull, done] = await seconds(() => taker.replicate.from(remote, { batch_size: 500 }));
  if (done.docs_written !== docs.length) throw new Error(`${done.docs_written} of ${docs.length} taken`);
  await giver.sync(remote, { batch_size: 500 }); // the giver looks through what it gave once
  [out.idle, done] = await seconds(() => giver.sync(remote, { batch_size: 500 }));
  if (done.push.docs_written + done.pull.docs_written !== 0) throw new Error("a sync with nothing to do did something");
  console.log(JSON.stringify(out));
})().catch((e) => { console.error(e); process.exit(1); });

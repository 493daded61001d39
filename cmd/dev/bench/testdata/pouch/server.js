// A CouchDB-like server on PouchDB, on a port of its own choosing, which it
// prints. Its data lies in the folder that is named.
const path = require("node:path");
const express = require("express");
const PouchDB = require("pouchdb").defaults({ prefix: path.resolve(process.argv[2]) + path.sep });
const app = express();
const data = process.argv[2];
app.use("/", require("express-pouchdb")(PouchDB, {
  mode: "minimumForPouchDB",
  configPath: path.join(data, "config.json"),
  logPath: path.join(data, "log.txt"),
}));
const server = app.listen(0, "127.0.0.1", () => console.log(server.address().port));

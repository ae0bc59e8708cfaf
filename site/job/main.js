// Where the page begins.
import { runPage } from "./app.js";

runPage(document);

import {runPage} from "./app.js"; runPage(document);

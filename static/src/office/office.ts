/** What makes office pages livelier; each part looks whether its page is there. */

import "./label_pdf";
import "./live_search";
import "./live_sheet";

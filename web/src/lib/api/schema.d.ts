// Generated out of openapi.json by `npm run generate`; do not edit.

export interface paths {
    "/api/v1/bench-tests": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The tests that give a hand's own numbers: how they are done safely, and their columns */
        get: operations["list-bench-tests"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/cards": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** List the released cards, newest first */
        get: operations["list-cards"];
        put?: never;
        /** Choose the region and release a card */
        post: operations["release-card"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/cards/{card}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Read one card */
        get: operations["get-card"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/cards/{card}/card.json": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The card for machines; /api/v1/schemas/pick-card-1.json describes it */
        get: operations["get-card-document"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/cards/{card}/card.pdf": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The card to print */
        get: operations["get-card-pdf"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/cards/{card}/withdraw": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Take a card back; it stays on record */
        post: operations["withdraw-card"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/design/orientations": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Which orientations a plan will try */
        post: operations["preview-orientations"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/design/sample-size": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** How many trials are needed */
        post: operations["sample-size"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/economics/hands/{id}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What the hand brings and costs; revision 0 until somebody states it */
        get: operations["get-hand-economics"];
        /** State what the hand brings and costs */
        put: operations["edit-hand-economics"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/economics/items/{id}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What the item brings and costs; revision 0 until somebody states it */
        get: operations["get-item-economics"];
        /** State what the item brings and costs */
        put: operations["edit-item-economics"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/economics/lines/{id}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What the line brings and costs; revision 0 until somebody states it */
        get: operations["get-line-economics"];
        /** State what the line brings and costs */
        put: operations["edit-line-economics"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/events": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Server-sent events: hello first, then change for everything that changes, resync when events were lost */
        get: operations["watch-events"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hand-descriptions": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Hands that are described well enough to be simulated */
        get: operations["list-hand-descriptions"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hand-descriptions/{hand}/closing": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A hand closed slowly in simulation, free or around an item */
        get: operations["get-hand-closing"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hand-descriptions/{hand}/grip": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A hand's grip over item size and closing command, in simulation */
        get: operations["get-hand-grip"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hand-sheet": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The numbers of hands side by side, from their standing bench records */
        get: operations["get-hand-sheet"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hand-sheet.pdf": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The hand sheet to print, with its curves and cautions */
        get: operations["get-hand-sheet-pdf"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** List the hands */
        get: operations["list-hands"];
        put?: never;
        /** Add a new hand */
        post: operations["create-hand"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/bench": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** All bench records of a hand with what they say, newest first */
        get: operations["list-bench-records"];
        put?: never;
        /** Keep a bench record whose table answers its test; answers 200 when the key was known or it was only checked */
        post: operations["add-bench-record"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/bench/feed": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Bring a hand's description to its standing bench records; nothing is kept */
        post: operations["feed-hand-description"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/bench/{record}/table.csv": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A bench record's table as it came in */
        get: operations["get-bench-table"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/bench/{record}/void": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Make a bench record void; it stays on record */
        post: operations["void-bench-record"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/feel": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** How a hand's wrist should move by what is touched first, and how far the learning is */
        get: operations["get-feel"];
        put?: never;
        /** Begin to learn it, in simulation or from guided trials */
        post: operations["start-feel"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/feel/invented": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A table of guided trials that nobody made, to try */
        get: operations["get-invented-guided"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/feel/strategy.yaml": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The strategy that feels first, with its rule, as the command line reads it */
        get: operations["get-feel-strategy"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/feel/work": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        post?: never;
        /** Stop the learning that is under way; an earlier answer stays */
        delete: operations["stop-feel"];
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/pads/follow": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A websocket: the first text message is a FollowStart; then what a rig's pads feel comes as text messages */
        get: operations["follow-pads"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/readings/{sensor}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** What a rig's pads or strips read, for the pages that follow; nothing is kept */
        post: operations["post-readings"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/strips/follow": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A websocket: the first text message is a FollowStart; then a finger's shape by a rig's strips comes as text messages */
        get: operations["follow-strips"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/touch": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A hand's sounds of touch, what was learnt from them and how far a training is */
        get: operations["get-touch-lab"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/touch/clips": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Keep a clip, a WAV file, with what is known of it */
        post: operations["add-touch-clip"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/touch/clips/{clip}/labels": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** All that was said of a clip, oldest first */
        get: operations["list-touch-labels"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/touch/clips/{clip}/picture": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A clip's course and spectrum over time, to be drawn */
        get: operations["get-touch-picture"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/touch/labels": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Say where clips were touched, all or none; earlier labels stay on record. The answer has these clips, and all that changed when after is given */
        post: operations["label-touch-clips"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/touch/live": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A websocket: raw samples of one channel go in as binary messages, every touch comes back as a text message */
        get: operations["listen-to-touches"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/touch/model.json": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The newest model, as the command line reads it */
        get: operations["get-touch-model"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{hand}/touch/training": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Begin to learn from the labelled clips */
        post: operations["start-touch-training"];
        /** Stop the training that is under way; an earlier model stays */
        delete: operations["stop-touch-training"];
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/hands/{id}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Read one hand */
        get: operations["get-hand"];
        /** Edit one hand */
        put: operations["edit-hand"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/handset": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Which few hands serve all items best; events of the topic handset say how far it is */
        get: operations["get-hand-set"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/invented-knocks/{number}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A knock with a crust at a drawn place of a finger that does not exist, to try listening without a microphone */
        get: operations["get-invented-knock"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/items": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** List the items */
        get: operations["list-items"];
        put?: never;
        /** Add a new item */
        post: operations["create-item"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/items/{id}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Read one item */
        get: operations["get-item"];
        /** Edit one item */
        put: operations["edit-item"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/lab": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What the lab holds and what to do next */
        get: operations["get-lab"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/recordings": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Store a file beside the record and learn its digest */
        post: operations["store-recording"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/recordings/{sha256}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Read a stored file */
        get: operations["get-recording"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/schemas/pick-card-1.json": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** JSON Schema of the card document */
        get: operations["get-card-schema"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/settings": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** List the settings */
        get: operations["list-settings"];
        put?: never;
        /** Add a new setting */
        post: operations["create-setting"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/settings/{id}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Read one setting */
        get: operations["get-setting"];
        /** Edit one setting */
        put: operations["edit-setting"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** List the studies with how far they are */
        get: operations["list-studies"];
        put?: never;
        /** Start a study as a draft */
        post: operations["create-study"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Read one study */
        get: operations["get-study"];
        /** Edit one study */
        put: operations["edit-study"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/agreement": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** How far the record and the judges agree, and which trials to look at again */
        get: operations["get-agreement"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/choice": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What could be handed to the line, best first */
        get: operations["get-choice"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/comparison": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** How two levels of a factor compare, as the study was run */
        get: operations["get-comparison"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/comparison/maps": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Where the success map of one level is clearly better than the other's */
        get: operations["get-comparison-maps"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/conditions": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The conditions that trials were made under, each with a map */
        get: operations["list-conditions"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/factors": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** How everything that was varied moves success, and what matters */
        get: operations["get-factors"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/families": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What an item borrows from those alike, and what that does to its estimate */
        get: operations["get-families"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/families/scores": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** How well each item's trials are forecast without being shown, alone and with the family; events of the topic families say how far it is */
        get: operations["get-family-scores"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/finish": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Close a running study */
        post: operations["finish-study"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/import": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Record the rows of a CSV or Parquet file as trials, all or none */
        post: operations["import-trials"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/inspections": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Log a later look at an item; answers 200 when the key was known */
        post: operations["log-inspection"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/judgements": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** All judgements, oldest first */
        get: operations["list-judgements"];
        put?: never;
        /** Log how somebody says that a trial ended; answers 200 when the key was known */
        post: operations["log-judgement"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/map": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The success map of one condition */
        get: operations["get-map"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/map.csv": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The map's table as CSV */
        get: operations["get-map-csv"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/map.parquet": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The map's table as Parquet */
        get: operations["get-map-parquet"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/map.png": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The map as a picture */
        get: operations["get-map-png"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/map.svg": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The map as a drawing */
        get: operations["get-map-svg"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/map/at": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The map at one orientation */
        get: operations["get-map-point"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/map/marks": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The map's trials as columns */
        get: operations["get-map-marks"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/map/raster": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The map as numbers for drawing; RasterInfo says how to read them */
        get: operations["get-map-raster"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/model": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What the trials of one condition say about its simulation, and how far a fit is */
        get: operations["get-model"];
        put?: never;
        /** Begin to fit the simulation to the trials of one condition */
        post: operations["start-model-fit"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/model/fit": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        post?: never;
        /** Stop the fit that is under way; what was found before stays */
        delete: operations["stop-model-fit"];
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/model/use": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        /** Use the fitted simulation as prior mean of the condition's map, or no longer */
        put: operations["use-model-fit"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/next": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Hand out the next planned run, kept for the holder until the lease ends */
        get: operations["next-run"];
        put?: never;
        post?: never;
        /** Give the holder's run back */
        delete: operations["give-back-run"];
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/next-trials": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Which trials to make next, and what choosing now would lose */
        get: operations["get-next-trials"];
        put?: never;
        /** Add the proposed trials to the plan */
        post: operations["add-next-trials"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/plan": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Read the plan with what is done of it */
        get: operations["get-plan"];
        put?: never;
        /** Draw up the plan from the stored seed */
        post: operations["draw-plan"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/plan.csv": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The plan as CSV */
        get: operations["get-plan-csv"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/progress": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** How the study goes */
        get: operations["get-progress"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/proof-design": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** What a design of a proof run would do; nothing is stored */
        post: operations["design-proof"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/proof-subject": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What a proof run of one condition would prove: the region that would be handed over now */
        get: operations["get-proof-subject"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/proofs": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The signed proof runs of a study, newest first */
        get: operations["list-proofs"];
        put?: never;
        /** Sign a proof run: from then on it can not be changed */
        post: operations["sign-proof"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/proofs/{proof}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A proof run, how it stands and what its next trial is */
        get: operations["get-proof"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/proofs/{proof}/give-up": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Give a run up that can not be carried to its end; it stays on record */
        post: operations["give-up-proof"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/proofs/{proof}/trials": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Log a trial of the run; answers 200 when the key was known and nothing new was stored */
        post: operations["log-proof-trial"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/reopen": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Open a finished study again */
        post: operations["reopen-study"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/runsheet.pdf": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The plan as a sheet to print */
        get: operations["get-run-sheet"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/tolerance": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** How large errors of placement and orientation one condition stands */
        get: operations["get-tolerance"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/trials": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The trials as they count now, in the order of their first entries */
        get: operations["list-trials"];
        put?: never;
        /** Log a trial or a correction; answers 200 when the key was known and nothing new was stored */
        post: operations["log-trial"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/trials.csv": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The trials as CSV */
        get: operations["get-trials-csv"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/trials.parquet": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The trials as Parquet */
        get: operations["get-trials-parquet"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/trials/{trial}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** All that was ever entered about one trial */
        get: operations["get-trial"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/unjudged": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Trials that a judge has not judged, without their outcomes */
        get: operations["list-unjudged"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/studies/{study}/value": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What picking an item earns under each condition */
        get: operations["get-value"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/touch/pads": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Contacts over time that an array of touch pads felt; nothing is kept */
        post: operations["read-pads"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/touch/pads/invented": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The files of an array that does not exist, to try */
        get: operations["get-invented-pads"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/touch/strips": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** A finger's shape over time from the strips along it; nothing is kept */
        post: operations["read-strips"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/touch/strips/invented": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The files of a finger that does not exist, to try */
        get: operations["get-invented-strips"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
}
export type webhooks = Record<string, never>;
export interface components {
    schemas: {
        Again: {
            /** @description They differ on whether it was held */
            decisive: boolean;
            /**
             * Format: double
             * @description Share of pairs of judges that differ
             */
            disagree: number;
            hand: string;
            item: string;
            /** @description The record first */
            said: components["schemas"]["Said"][];
            strategy: string;
            /** Format: int64 */
            trial: number;
        };
        Agreement: {
            /** @description Trials to look at again, most consequential first */
            again: components["schemas"]["Again"][];
            /** @description By outcome */
            all: components["schemas"]["AllJudges"];
            /** @description By held or not only */
            held_only: components["schemas"]["AllJudges"];
            /** @description The record first */
            judges: components["schemas"]["JudgeRow"][];
            /**
             * Format: double
             * @description Level of all intervals
             */
            level: number;
            /** @description Rows and columns of the tables */
            outcomes: string[];
            pairs: components["schemas"]["JudgePair"][];
            sentence: string;
            /**
             * Format: int64
             * @description Judged at least once besides the record
             */
            trials: number;
            warnings: string[];
        };
        Aim: {
            /**
             * Format: int64
             * @description Trials proposed at once
             */
            batch: number;
            /**
             * Format: int64
             * @description Trials of each way of picking that are spread evenly first; 0: as many as leave no gap
             */
            first_cover?: number;
            /**
             * @description best: the best region; border: where the target is reached; rank: the order of the ways of picking; measure: the success of the region that would be chosen
             * @enum {string}
             */
            question: "best" | "border" | "rank" | "measure";
            /**
             * Format: double
             * @description Loss (of success; for border the share of orientations on the wrong side) below which stopping is suggested
             */
            tolerance: number;
            /**
             * Format: double
             * @description Money, what a good pick is worth beside a failed one; left out: from the item's figures
             */
            value_per_pick?: number;
        };
        AllJudges: {
            /**
             * Format: double
             * @description Krippendorff's alpha for names; left out where only one outcome was given
             */
            alpha?: number;
            /** Format: double */
            alpha_high?: number;
            /**
             * Format: double
             * @description From resampled trials
             */
            alpha_low?: number;
            /**
             * Format: double
             * @description Over the trials that all judged; only with three judges or more, the record counted
             */
            fleiss_kappa?: number;
            /** Format: int64 */
            fleiss_trials: number;
            /**
             * Format: int64
             * @description Judged twice at least, the record counted
             */
            trials: number;
        };
        Bar: {
            /** Format: double */
            high: number;
            input: string;
            /** Format: double */
            low: number;
            /** @description Low and high are the 5 and 95 % points; else a fifth below and above what was stated */
            measured: boolean;
            /** Format: double */
            mid: number;
            /** Format: double */
            net_per_hour_at_high: number;
            /** Format: double */
            net_per_hour_at_low: number;
            /** @description money, s, 1/h, × for a factor, or empty for a share */
            unit: string;
        };
        BenchColumn: {
            meaning: string;
            /** @description Its unit stands in it, where it has one */
            name: string;
            /** @description Numbers must not be below 0 */
            natural: boolean;
            optional: boolean;
            /** @description Numbers must be above 0 */
            positive: boolean;
            text: boolean;
            /** @description The words allowed; none: any */
            words: string[];
        };
        BenchFigure: {
            /** @description What value and limits rest on */
            basis: string;
            /** @description Finger, direction, size … that it is of */
            group: string;
            /** Format: double */
            high?: number;
            /**
             * Format: double
             * @description Left out where the record sets no lower limit
             */
            low?: number;
            name: string;
            unit: string;
            /** Format: double */
            value: number;
        };
        BenchRecord: {
            /** Format: date */
            day: string;
            /** @description Why the record says nothing any more */
            fault?: string;
            hand: string;
            /**
             * Format: int64
             * @description 0 of a record that was only checked
             */
            id: number;
            invented: boolean;
            key: string;
            /** Format: double */
            limit?: number;
            note: string;
            /** @description It is the newest of its test and variant that stands */
            on_sheet: boolean;
            operator: string;
            /** Format: double */
            ramp_s: number;
            /** Format: date-time */
            recorded?: string;
            report?: components["schemas"]["BenchReport"];
            specimen: string;
            /** Format: int64 */
            terms: number;
            test: string;
            unit: string;
            variant: string;
            void?: components["schemas"]["BenchVoid"];
        };
        BenchReport: {
            /**
             * @description weibull: x by its logarithm, shares p by ln(−ln(1 − p))
             * @enum {string}
             */
            axes: "plain" | "weibull";
            figures: components["schemas"]["BenchFigure"][];
            /** @description Of x = 1, 2, … in the plot, where these are names and no numbers; none else */
            labels: string[];
            /**
             * Format: double
             * @description Of the intervals
             */
            level: number;
            /** @description What the record does not show, and cautions */
            notes: string[];
            /** Format: int64 */
            rows: number;
            /** @description The data of the plot; long series are thinned */
            series: components["schemas"]["BenchSeries"][];
        };
        BenchRequest: {
            /**
             * Format: date
             * @description When it was measured; today when left out
             */
            day?: string;
            /** @description Any text that is new for each record; repeat it when you send one again */
            key: string;
            /**
             * Format: double
             * @description Wear: the value at which the hand is replaced
             */
            limit?: number;
            note?: string;
            operator: string;
            /**
             * Format: double
             * @description Relaxation: how long the deflection rose; the time of the largest force when left out
             */
            ramp_s?: number;
            /** @description Which piece of the hand's kind */
            specimen?: string;
            /** @description CSV; the first row names the columns */
            table: string;
            /**
             * Format: int64
             * @description Relaxation: exponential terms, 1 to 3; 1 when left out
             */
            terms?: number;
            /** @description One of the names of /bench-tests */
            test: string;
            /** @description Of the values, where the test takes any */
            unit?: string;
            /** @description What it was about, such as a direction; tells records of one test apart */
            variant?: string;
        };
        BenchSeries: {
            /**
             * @description open: only exceeded; bars: from 0 up, 0.2 wide; whiskers: from each even point to the next
             * @enum {string}
             */
            draw: "line" | "points" | "open" | "bars" | "whiskers";
            name: string;
            /** @description What, and its unit */
            x: string;
            xs: number[];
            y: string;
            ys: number[];
        };
        BenchTest: {
            /** @description What can hurt, and what to do about it */
            cautions: string[];
            columns: components["schemas"]["BenchColumn"][];
            how: string;
            name: string;
            source: string;
            /** @description The unit of its values has to be told */
            takes_unit: boolean;
            title: string;
        };
        BenchVoid: {
            /** Format: date-time */
            at: string;
            by: string;
            reason: string;
        };
        BlindTrial: {
            /** Format: double */
            closing: number;
            /** Format: double */
            duration_s?: number;
            hand: string;
            item: string;
            note?: string;
            /** @description As measured, else as asked */
            orientation: components["schemas"]["Orientation"];
            /** Format: double */
            peak_force_N?: number;
            recordings?: components["schemas"]["Recording"][];
            setting: string;
            /** Format: date-time */
            started_at?: string;
            strategy: string;
            /**
             * Format: int64
             * @description First entry of the history
             */
            trial: number;
        };
        BlockProgress: {
            /** Format: int64 */
            block: number;
            /** Format: int64 */
            done: number;
            /** Format: int64 */
            held: number;
            /** Format: double */
            high: number;
            /** Format: double */
            low: number;
            /** Format: int64 */
            planned: number;
            /** Format: int64 */
            reference_held: number;
            /** Format: int64 */
            reference_trials: number;
            /** Format: int64 */
            trials: number;
        };
        Calibration: {
            /**
             * Format: double
             * @description Mean forecast
             */
            forecast: number;
            /** Format: double */
            from: number;
            /**
             * Format: double
             * @description Share held
             */
            held: number;
            /** Format: double */
            to: number;
            /** Format: int64 */
            trials: number;
        };
        Card: {
            cautions: string[];
            /** Format: double */
            closing: number;
            digest: string;
            hand: string;
            /** Format: int64 */
            held: number;
            /** Format: double */
            high: number;
            id: string;
            invented: boolean;
            item: string;
            /** Format: int64 */
            last_trial: number;
            line_error: components["schemas"]["LineError"];
            /** Format: double */
            low: number;
            /** @description The trials and settings it came from are still the same */
            matches: boolean;
            nominal: components["schemas"]["Orientation"];
            /** @description How the newest proof run stood; left out: released without one */
            proof?: components["schemas"]["CardProof"];
            /** Format: double */
            radius_deg: number;
            reason?: string;
            region: components["schemas"]["Orientation"][];
            /** Format: date-time */
            released_at: string;
            released_by: string;
            setting: string;
            /** Format: double */
            share: number;
            /** Format: double */
            spacing_deg: number;
            strategy: components["schemas"]["Strategy"];
            study: string;
            /** Format: double */
            success: number;
            /** Format: double */
            target: number;
            /** Format: int64 */
            trials: number;
            /** Format: date-time */
            withdrawn?: string;
            withdrawn_by?: string;
        };
        CardProof: {
            /** Format: int64 */
            changed: number;
            digest: string;
            /** Format: int64 */
            failures: number;
            /** Format: double */
            high: number;
            id: string;
            /** Format: double */
            level: number;
            /** Format: double */
            low: number;
            rule: string;
            /** @description Made at the card's orientations and closing command */
            same_region: boolean;
            /** Format: date-time */
            signed_at: string;
            signed_by: string;
            /** Format: int64 */
            trials: number;
            /** @enum {string} */
            verdict: "accepted" | "rejected" | "go on" | "given up";
            /** Format: int64 */
            void: number;
        };
        Cell: {
            /** Format: double */
            exact_high: number;
            /**
             * Format: double
             * @description Clopper-Pearson, 90 %
             */
            exact_low: number;
            /** Format: int64 */
            held: number;
            /** Format: double */
            jeffreys_high: number;
            /** Format: double */
            jeffreys_low: number;
            orientation: components["schemas"]["Orientation"];
            /**
             * Format: double
             * @description Smooth map's mean
             */
            p: number;
            /** Format: double */
            p_blurred: number;
            /** Format: double */
            p_high: number;
            /** Format: double */
            p_low: number;
            /** Format: int64 */
            trials: number;
            /** Format: double */
            wilson_high: number;
            /** Format: double */
            wilson_low: number;
        };
        ChainStep: {
            /**
             * Format: double
             * @description Goes on to the next attempt
             */
            again: number;
            /** Format: double */
            damaged: number;
            /**
             * Format: double
             * @description Goes to a person or passes by
             */
            given_up: number;
            /** Format: double */
            held: number;
            /** Format: double */
            reached: number;
            strategy: string;
        };
        Change: {
            id: string;
            study: string;
            /** @description trials, inspections, study, hand, item, setting, card, model or map */
            topic: string;
        };
        Choice: {
            /** Format: double */
            blur_deg: number;
            /** @description Best lower bound first */
            options: components["schemas"]["ChoiceRow"][];
            /** Format: double */
            target: number;
            warnings: string[];
        };
        ChoiceRow: {
            /** Format: double */
            closing: number;
            condition: components["schemas"]["Condition"];
            /** Format: double */
            high: number;
            /** Format: double */
            low: number;
            /** @description The lower bound reaches the target */
            meets_target: boolean;
            nominal: components["schemas"]["Orientation"];
            /**
             * Format: double
             * @description All orientations within this turn of the nominal one are inside
             */
            radius_deg: number;
            /** @description One sentence */
            reason: string;
            region: components["schemas"]["Orientation"][];
            /**
             * Format: double
             * @description Share of all orientations within the tilt limit
             */
            share: number;
            /**
             * Format: double
             * @description Each region point stands for all orientations within this turn of it
             */
            spacing_deg: number;
            /**
             * Format: double
             * @description Expected success over the region, blurred by the line's error
             */
            success: number;
        };
        ClosingContact: {
            /**
             * Format: int64
             * @description From 0; -1: the palm
             */
            finger: number;
            /** @description On the item */
            force_N: number[];
            /** Format: int64 */
            link: number;
            point_mm: number[];
            sliding: boolean;
        };
        ClosingCord: {
            fingers: number[];
            /** Format: int64 */
            motor: number;
            pushes: boolean;
        };
        ClosingJoint: {
            /** Format: int64 */
            finger: number;
            slides: boolean;
        };
        ClosingLink: {
            /** Format: int64 */
            finger: number;
            /** Format: int64 */
            joint: number;
            /** Format: double */
            radius_mm: number;
        };
        ClosingOutline: {
            /** @description Three corners of one after the other, counterclockwise seen from outside */
            triangles: number[];
            /** @description x, y, z of one after the other */
            vertices_mm: number[];
        };
        ClosingStep: {
            /** @description By how much each finger's last link has turned */
            bent_deg: number[];
            /** Format: double */
            command: number;
            contacts: components["schemas"]["ClosingContact"][];
            /** @description What each finger has taken of each cord: cord by cord */
            drawn_mm: number[];
            /** @description Normal forces of each finger on the item */
            fingers_N: number[];
            /**
             * Format: double
             * @description Sum of all normal forces on the item
             */
            grip_N: number;
            /** @description Degrees; mm for joints that slide */
            joints_deg_or_mm: number[];
            /** @description Both ends of each link, 6 numbers a link */
            links_mm: number[];
            /**
             * Format: double
             * @description Normal forces of the palm on the item
             */
            palm_N: number;
            /** @description Of each chamber */
            pressure_kPa: number[];
            /** @description All had come to rest */
            settled: boolean;
            /** @description Of each cord */
            tension_N: number[];
            /** @description x, y, z of each finger's end */
            tips_mm: number[];
        };
        Comparison: {
            a: string;
            b: string;
            by: string;
            /**
             * Format: double
             * @description Fisher's exact test, two-sided, of trials as if nothing else mattered
             */
            fisher_p: number;
            /** Format: int64 */
            held_a: number;
            /** Format: int64 */
            held_b: number;
            invented: boolean;
            /**
             * Format: double
             * @description Level of all intervals
             */
            level: number;
            /** @description All pairs of levels */
            level_pairs: components["schemas"]["LevelPair"][];
            /** @description All levels of the factor, largest share held first */
            levels: components["schemas"]["LevelRow"][];
            measured: components["schemas"]["Difference"];
            no_worse: components["schemas"]["NoWorse"];
            /** @description Of trials as if nothing else mattered: Newcombe's interval, Boschloo's test */
            plain: components["schemas"]["Difference"];
            sentence: string;
            /** Format: int64 */
            trials_a: number;
            /** Format: int64 */
            trials_b: number;
            /**
             * @description What counts as one observation
             * @enum {string}
             */
            unit: "whole plots" | "blocks" | "pairs" | "trials";
            /** @description How many there are, in words */
            units: string;
            warnings: string[];
            /** @description Why this unit */
            why: string;
        };
        Condition: {
            hand: string;
            /** Format: int64 */
            held: number;
            item: string;
            setting: string;
            strategy: string;
            /**
             * Format: int64
             * @description Trials that count, without reference trials
             */
            trials: number;
        };
        Difference: {
            /**
             * Format: double
             * @description Posterior probability; left out where whole plots are compared
             */
            chance_a_is_better?: number;
            /** Format: double */
            difference: number;
            /** Format: double */
            high: number;
            /** Format: double */
            low: number;
            /**
             * Format: double
             * @description Two-sided
             */
            p: number;
            /**
             * Format: double
             * @description If A were not better
             */
            p_greater: number;
            /**
             * Format: double
             * @description If A were not worse
             */
            p_less: number;
            test: string;
        };
        Dispersion: {
            /** Format: double */
            deviance: number;
            /** Format: int64 */
            df: number;
            /**
             * Format: double
             * @description Chance of counts this even or more
             */
            lower_p: number;
            tested: boolean;
            text: string;
            /**
             * Format: double
             * @description Chance of counts this uneven or more
             */
            upper_p: number;
        };
        Estimate: {
            /**
             * Format: double
             * @description 95 % point
             */
            high: number;
            /**
             * Format: double
             * @description 5 % point
             */
            low: number;
            /** Format: double */
            mean: number;
        };
        ExtendPlan: {
            /**
             * Format: int64
             * @description The plan's last run that you saw; a conflict when the plan has grown since
             */
            plan_end: number;
            /**
             * Format: int64
             * @description How many, reference runs not counted; the aim's batch when left out
             */
            trials?: number;
        };
        FactorEffect: {
            /** @enum {string} */
            kind: "levels" | "curve" | "surface";
            points: components["schemas"]["FactorPoint"][];
            term: string;
            /** @description What x is, with its unit; empty for levels */
            x_label: string;
            /** @description What y is, with its unit; only for surfaces */
            y_label: string;
        };
        FactorPoint: {
            /**
             * Format: double
             * @description On the log-odds, centred: its mean over the trials is 0
             */
            effect: number;
            /** Format: double */
            effect_high: number;
            /** Format: double */
            effect_low: number;
            level: string;
            /**
             * Format: double
             * @description Chance of success with all else as the trials had it
             */
            p: number;
            /** Format: double */
            p_high: number;
            /** Format: double */
            p_low: number;
            /**
             * Format: int64
             * @description At this level; 0 for values
             */
            trials: number;
            /** Format: double */
            x: number;
            /** Format: double */
            y: number;
        };
        FactorTerm: {
            /**
             * Format: double
             * @description Fall of the log score per trial not seen when the term is left out; 0 when not scored
             */
            drop: number;
            /** Format: double */
            drop_high: number;
            /** Format: double */
            drop_low: number;
            /** @description Terms that only deviate from it and were left out with it */
            left_out_with: string[];
            name: string;
            /**
             * Format: double
             * @description Standard deviation over the trials of what it adds to the log-odds
             */
            spread: number;
        };
        Factors: {
            /**
             * Format: double
             * @description The same for the plain success rate
             */
            base_log_score: number;
            effects: components["schemas"]["FactorEffect"][];
            /** Format: int64 */
            folds: number;
            /** Format: int64 */
            held: number;
            invented: boolean;
            /** @description Size and mass of the items, from the catalogue, are among the terms */
            item_features: boolean;
            /** @description The trials have items of different size or mass, so item_features can be asked for */
            item_features_offered: boolean;
            /**
             * Format: double
             * @description Of all intervals
             */
            level: number;
            /**
             * Format: double
             * @description Mean logarithm of the probability given to what happened, per trial not seen
             */
            log_score: number;
            /**
             * Format: int64
             * @description Grows with every entry of the study
             */
            mark: number;
            /** @description False: too few trials or groups to say what matters */
            scored: boolean;
            /** @description What was kept together in a fold: blocks or orientations */
            scored_by: string;
            /** @description What matters, in plain words */
            sentence: string;
            /** @description What was lost without each, most first where it was scored */
            terms: components["schemas"]["FactorTerm"][];
            /** Format: int64 */
            trials: number;
            warnings: string[];
        };
        Families: {
            /**
             * Format: double
             * @description Own trials, spread evenly, that would bring as much as is borrowed
             */
            borrowed_trials: number;
            /** @description What that does to the estimate, also where it does nothing */
            change: string;
            /** @description Largest share first */
            donors: components["schemas"]["FamilyDonor"][];
            /**
             * Format: double
             * @description Of what all items say in the estimate; the rest is the item's own trials alone
             */
            family_weight: number;
            hand: string;
            /** Format: int64 */
            held: number;
            invented: boolean;
            item: string;
            /**
             * Format: double
             * @description Of all bands
             */
            level: number;
            /**
             * Format: int64
             * @description Grows with every entry of the study
             */
            mark: number;
            mean: components["schemas"]["FamilyMean"];
            /** @description The items with trials, and the one asked for */
            members: components["schemas"]["FamilyMember"][];
            /**
             * Format: double
             * @description Of the information, by the item's own trials; 0 to 1
             */
            own_share: number;
            /**
             * Format: double
             * @description Probability that the other items speak for this one
             */
            p_related: number;
            /** @description At the azimuth and roll of the surest orientation, by tilt */
            section: components["schemas"]["FamilyPoint"][];
            /** @description What was borrowed and from whom */
            sentence: string;
            setting: string;
            strategy: string;
            /** @description Whose trials are in it */
            studies: string[];
            /** @description The orientation whose lower limit with the family is highest */
            surest: components["schemas"]["FamilyPoint"];
            /**
             * Format: double
             * @description Largest tilt that was tried
             */
            tilt_max_deg: number;
            /**
             * Format: int64
             * @description The item's own
             */
            trials: number;
            warnings: string[];
        };
        FamilyDonor: {
            /** @description The same in words */
            alike: string;
            item: string;
            /**
             * Format: double
             * @description Prior correlation of what is peculiar to the two items, 0 to 1
             */
            likeness: number;
            /**
             * Format: double
             * @description Of all that is borrowed, 0 to 1
             */
            share: number;
            /** Format: int64 */
            trials: number;
        };
        FamilyMean: {
            /**
             * Format: double
             * @description By own trials alone; left out without any
             */
            alone_p?: number;
            /** Format: double */
            alone_width?: number;
            /**
             * Format: double
             * @description With what is borrowed
             */
            p: number;
            /** Format: double */
            width: number;
        };
        FamilyMember: {
            /** Format: int64 */
            held: number;
            item: string;
            /** @description Features that the catalogue does not know: size, mass, stiffness, friction */
            missing: string[];
            /** Format: int64 */
            trials: number;
        };
        FamilyPoint: {
            /**
             * Format: double
             * @description By own trials alone; left out without any
             */
            alone_p?: number;
            /** Format: double */
            alone_p_high?: number;
            /** Format: double */
            alone_p_low?: number;
            orientation: components["schemas"]["Orientation"];
            /**
             * Format: double
             * @description With what is borrowed
             */
            p: number;
            /** Format: double */
            p_high: number;
            /** Format: double */
            p_low: number;
        };
        FamilyScore: {
            /**
             * Format: double
             * @description By the plain success rate of its other trials
             */
            base_loss: number;
            /**
             * Format: double
             * @description own_loss − with_loss
             */
            gain: number;
            /** Format: double */
            gain_high: number;
            /** Format: double */
            gain_low: number;
            item: string;
            /**
             * Format: double
             * @description By the other items alone, as if it had no trials; left out without others
             */
            new_loss?: number;
            /** @description Why it was not scored; else empty */
            note: string;
            /**
             * Format: double
             * @description By its own other trials alone
             */
            own_loss: number;
            scored: boolean;
            /** Format: int64 */
            trials: number;
            /**
             * Format: double
             * @description By its own other trials and the other items
             */
            with_loss: number;
        };
        FamilyScores: {
            /** Format: int64 */
            folds: number;
            invented: boolean;
            /**
             * Format: double
             * @description Of all intervals
             */
            level: number;
            /**
             * Format: int64
             * @description Grows with every entry of the study
             */
            mark: number;
            scores: components["schemas"]["FamilyScore"][];
            sentence: string;
        };
        FedCurve: {
            /** @description Which record */
            from: string;
            /** Format: double */
            misfit_after: number;
            /**
             * Format: double
             * @description Root of the mean square between readings and description
             */
            misfit_before: number;
            /** Format: int64 */
            readings: number;
            series: components["schemas"]["BenchSeries"][];
            title: string;
            /** @description Of the misfits */
            unit: string;
        };
        FedQuantity: {
            /**
             * Format: double
             * @description Left out where the description has no such number of one finger
             */
            described?: number;
            /** Format: double */
            high?: number;
            /**
             * Format: double
             * @description Left out where the readings are too few
             */
            low?: number;
            /** Format: double */
            measured: number;
            name: string;
            /** @description It stands in the fitted hand */
            placed: boolean;
            unit: string;
        };
        FedRecord: {
            /** Format: date */
            day: string;
            /** Format: int64 */
            id: number;
            specimen: string;
            test: string;
            variant: string;
        };
        FedUnknown: {
            name: string;
            why: string;
        };
        FeelAdvice: {
            /**
             * Format: double
             * @description Mean closing command of the touches
             */
            at_command: number;
            /**
             * Format: double
             * @description Mean direction of the touches, in which the item lies from the pad, from the palm's x towards its y; 0 when the rule does not go by it
             */
            direction_deg: number;
            /**
             * Format: int64
             * @description From 1; 0: the palm
             */
            finger: number;
            /** @description The move when the direction is 30° less than that */
            less_mm: number[];
            /**
             * Format: int64
             * @description From 1; 0: any of the finger's without an entry of its own
             */
            link: number;
            /** @description The move when it is 30° more */
            more_mm: number[];
            move_half_mm: number[];
            /** @description Along the palm's x and y, for a touch at that command */
            move_mm: number[];
            /** @description More for each unit of command that a touch comes later */
            per_command_mm: number[];
            too_few: boolean;
            /** @description In words */
            touched: string;
            /** Format: int64 */
            trials: number;
            /**
             * Format: double
             * @description About the palm's z, from x towards y, after the move
             */
            turn_deg: number;
            /** Format: double */
            turn_half_deg: number;
        };
        FeelAnswer: {
            /**
             * Format: double
             * @description The same after the rule, in trials that it was not learnt from
             */
            after_mm: number;
            /** Format: date-time */
            answered: string;
            /**
             * Format: double
             * @description Root mean square of where the palm stands beside the item
             */
            before_mm: number;
            /** @description The rule goes by the direction of the touch as well */
            by_direction: boolean;
            /** Format: double */
            closing: number;
            /** @enum {string} */
            from: "simulated" | "guided";
            gain?: components["schemas"]["FeelGain"];
            guided?: components["schemas"]["FeelGuided"];
            guided_name?: string;
            /** @description The hand as it stands when it touches, to draw the rule on */
            hand?: components["schemas"]["FeelHand"];
            /** @description Whether place and direction of the touch would tell more, where the rule does not go by them */
            how: string[];
            item?: string;
            /** Format: double */
            placement_mm: number;
            /** @description By finger and link; each finger's own entry before those of its links */
            rule: components["schemas"]["FeelAdvice"][];
            seed: string;
            sentence: string;
            setting?: string;
            strategy?: string;
            /** Format: double */
            tilt_max_deg: number;
            /**
             * Format: int64
             * @description Of these, trials that taught something
             */
            touched: number;
            /**
             * Format: int64
             * @description Learnt from
             */
            trials: number;
            /** @description It was tried in simulation, and there is a strategy with it to download */
            tried: boolean;
            warnings: string[];
        };
        FeelCondition: {
            /**
             * Format: double
             * @description The study's largest closing command
             */
            closing: number;
            /** @description Why the hand can not learn there in simulation */
            fault?: string;
            item: string;
            setting: string;
            simulable: boolean;
            strategy: string;
            study: string;
            /** Format: double */
            tilt_max_deg: number;
        };
        FeelFew: {
            touched: string;
            /** Format: int64 */
            trials: number;
        };
        FeelGain: {
            /** Format: int64 */
            both: number;
            /** Format: double */
            gain: number;
            /** Format: double */
            high: number;
            /**
             * Format: double
             * @description Of the gain, 95 %
             */
            low: number;
            /** Format: int64 */
            neither: number;
            /** Format: int64 */
            only_with: number;
            /** Format: int64 */
            only_without: number;
            /**
             * Format: double
             * @description Exact McNemar test
             */
            p: number;
            /** Format: int64 */
            trials: number;
            /** @enum {string} */
            verdict: "helps" | "harms" | "chance";
            /**
             * Format: double
             * @description Share held by the strategy that feels first
             */
            with: number;
            /** Format: double */
            without: number;
        };
        FeelGuided: {
            /**
             * Format: int64
             * @description They teach nothing
             */
            not_held: number;
            too_few: components["schemas"]["FeelFew"][];
            /** Format: int64 */
            trials: number;
        };
        FeelHand: {
            /** Format: double */
            command: number;
            fingers: string[];
            /** @description By finger, from the palm on */
            links: components["schemas"]["FeelLink"][];
            /** Format: double */
            palm_radius_mm: number;
        };
        FeelInfo: {
            /** @description The newest; kept as long as the program runs */
            answer?: components["schemas"]["FeelAnswer"];
            /** @description What studies try with the hand */
            conditions: components["schemas"]["FeelCondition"][];
            /** @description Another hand is learning */
            elsewhere: boolean;
            /** @description Why the last question gave nothing */
            failed?: string;
            running?: components["schemas"]["FeelRunning"];
        };
        FeelLink: {
            /**
             * Format: int64
             * @description From 1
             */
            finger: number;
            from_mm: number[];
            /**
             * Format: int64
             * @description From 1
             */
            link: number;
            /** Format: double */
            radius_mm: number;
            to_mm: number[];
        };
        FeelRunning: {
            /**
             * Format: int64
             * @description Simulated trials
             */
            done: number;
            /** Format: int64 */
            of: number;
            /**
             * Format: double
             * @description Since it was begun
             */
            seconds: number;
            stage: string;
        };
        FeelStart: {
            /**
             * Format: double
             * @description Closing command; 0.8 when left out
             */
            closing?: number;
            /** @description Go by the direction in which the item lies from the pad as well, for pads that tell it */
            direction?: boolean;
            /** @description CSV of trials in which a person guided the hand, docs/formats.md; when left out the hand learns in simulation */
            guided?: string;
            /** @description What the table is called */
            guided_name?: string;
            /** @description Item, setting and strategy together name a condition; all three may be left out with a table */
            item?: string;
            /**
             * Format: int64
             * @description Simulated trials to learn from
             * @default 600
             */
            learn: number;
            /**
             * Format: double
             * @description Standard deviation of the item's place along x and along y
             * @default 15
             */
            placement_mm: number;
            /** @description The same seed gives the same answer; 1 when left out */
            seed?: string;
            setting?: string;
            strategy?: string;
            /**
             * Format: int64
             * @description Further trials, each tried with the rule and without
             * @default 300
             */
            test: number;
            /**
             * Format: double
             * @description Largest tilt of the approach directions; 20 when left out
             */
            tilt_max_deg?: number;
        };
        FeelTable: {
            guided: string;
        };
        FingerFrame: {
            /** @description Half of the band, at right angles to the finger */
            across_mm: number[];
            /** @description Strips whose signal lies beyond their calibration */
            beyond: number[];
            /** @description By strip */
            curvature_per_m: number[];
            /** @description Standard uncertainty by the scatter of readings */
            curvature_sd_per_m: number[];
            /** Format: double */
            time_s: number;
            /** Format: double */
            tip_deg: number;
            /** Format: double */
            tip_half_deg: number;
            /** @description Half of their intervals */
            tip_half_mm: number[];
            /** @description x and z */
            tip_mm: number[];
            turn_deg: number[];
            x_mm: number[];
            z_mm: number[];
        };
        FingerReport: {
            /** @description Distance along the finger of each point, from its base */
            arc_mm: number[];
            frames: components["schemas"]["FingerFrame"][];
            /** Format: double */
            length_mm: number;
            /**
             * Format: double
             * @description Of the band
             */
            level: number;
            sentence: string;
            strips: components["schemas"]["FingerStrip"][];
            warnings: string[];
        };
        FingerStrip: {
            /**
             * Format: int64
             * @description Frames in which its signal lies beyond them
             */
            frames_beyond: number;
            /** Format: double */
            from_mm: number;
            /** Format: double */
            high_per_m: number;
            /**
             * Format: double
             * @description Curvatures that were calibrated
             */
            low_per_m: number;
            /** Format: int64 */
            strip: number;
            /** Format: double */
            to_mm: number;
        };
        FittedQuantity: {
            /** Format: double */
            high: number;
            /** Format: double */
            low: number;
            /** Format: double */
            mean: number;
            name: string;
            /** Format: double */
            prior_high: number;
            /** Format: double */
            prior_low: number;
            /**
             * Format: double
             * @description 0 to 1, the share of the spread before that the trials took away
             */
            told: number;
            words: string;
        };
        FollowStart: {
            calibration?: string;
            invented?: boolean;
            places?: string;
        };
        Hand: {
            /** @enum {string} */
            actuation: "motor" | "air";
            /** Format: double */
            command_full: number;
            /**
             * @description What closing command 1 stands for: mm of motor travel or kPa of pressure
             * @enum {string}
             */
            command_unit: "mm" | "kPa";
            /** Format: date-time */
            readonly created: string;
            /** Format: double */
            finger_length_mm: number;
            /** Format: int64 */
            fingers: number;
            food_contact: boolean;
            /** Format: double */
            force_max_N: number;
            /** @description Lower-case letters, digits and hyphens; made from the name when empty */
            id?: string;
            /** @description True for demonstration data that no bench ever saw */
            readonly invented: boolean;
            /** @description The plane through the palm axis and the fingers' opening is a mirror plane */
            mirror: boolean;
            name: string;
            note?: string;
            /** Format: double */
            opening_max_mm: number;
            /** Format: double */
            palm_diameter_mm: number;
            /**
             * Format: int64
             * @description Counts edits from 1; the ETag
             */
            readonly revision: number;
            /**
             * Format: int64
             * @description The hand looks the same after 1/roll_fold of a turn about the palm axis; 1: not symmetric
             */
            roll_fold: number;
            /** Format: date-time */
            readonly updated: string;
        };
        HandClosing: {
            cords: components["schemas"]["ClosingCord"][];
            /**
             * Format: double
             * @description Of the item's middle from the palm
             */
            distance_mm: number;
            fingers: string[];
            /**
             * Format: double
             * @description Coefficient between skin and item
             */
            friction: number;
            hand: components["schemas"]["HandDescription"];
            /** @enum {string} */
            item: "none" | "sphere" | "box" | "plate";
            /** @description Of all fingers in their order */
            joints: components["schemas"]["ClosingJoint"][];
            links: components["schemas"]["ClosingLink"][];
            /** @description The item, in its own frame; its axes are the palm's */
            outline?: components["schemas"]["ClosingOutline"];
            /** Format: double */
            palm_radius_mm: number;
            /**
             * Format: double
             * @description Diameter, edge, or edge of the plate; 0 without an item
             */
            size_mm: number;
            /** @description At even closing commands from 0 to 1 */
            steps: components["schemas"]["ClosingStep"][];
        };
        HandDescription: {
            /** Format: int64 */
            chambers: number;
            /** Format: int64 */
            cords: number;
            /** Format: int64 */
            fingers: number;
            /** @description That of the lab's hand, where the lab has it */
            id: string;
            /** Format: int64 */
            joints: number;
            name: string;
            note?: string;
        };
        HandEconomics: {
            /**
             * Format: double
             * @description How long the line stands while it is put on, s
             */
            change_s: number;
            /** Format: date-time */
            readonly created: string;
            /** @description The hand's */
            id?: string;
            /** @description True for demonstration data that no bench ever saw */
            readonly invented: boolean;
            /**
             * Format: double
             * @description Hours of running after which it is replaced; 0: not by hours
             */
            life_h: number;
            /**
             * Format: double
             * @description Attempts after which it is replaced; 0: not by attempts
             */
            life_picks: number;
            note?: string;
            /** Format: double */
            price: number;
            /**
             * Format: int64
             * @description Counts edits from 1; the ETag
             */
            readonly revision: number;
            /** Format: date-time */
            readonly updated: string;
        };
        HandFeed: {
            curves: components["schemas"]["FedCurve"][];
            /** @description What to call the description */
            file: string;
            /** @description The described finger that stands for all */
            finger: string;
            /** @description All that are described */
            fingers: string[];
            hand: string;
            /** @description One of the records is */
            invented: boolean;
            /**
             * Format: double
             * @description Of the limits
             */
            level: number;
            /** @description Of the description */
            name: string;
            notes: string[];
            quantities: components["schemas"]["FedQuantity"][];
            /** @description That were used */
            records: components["schemas"]["FedRecord"][];
            /** @description The fitted hand in full, as YAML that a simulation reads; its head says what was changed */
            text: string;
            /** @description What the readings do not tell; it stays as described */
            unknowns: components["schemas"]["FedUnknown"][];
        };
        HandFeedStart: {
            /** @description The described finger that was measured; the first when left out */
            finger?: string;
            /**
             * Format: double
             * @description Of the limits; 0.95 when left out
             */
            level?: number;
        };
        HandGrip: {
            commands: number[];
            /** @description Of each item's middle from the palm */
            distances_mm: number[];
            /** Format: double */
            friction: number;
            /** @description By size, then command */
            grip_N: number[][];
            hand: components["schemas"]["HandDescription"];
            /** @enum {string} */
            item: "sphere" | "box" | "plate";
            sizes_mm: number[];
            /** @description How many fingers touch */
            touching: number[][];
        };
        HandSet: {
            /** Format: int64 */
            branches_left_out: number;
            /** @description How it is known that no set is better, in one sentence */
            certificate: string;
            /**
             * Format: double
             * @description With which an automated item must meet its target
             */
            confidence: number;
            currency: string;
            /** @description The best set of at most 1, 2 … hands */
            curve: components["schemas"]["SetOption"][];
            hands: components["schemas"]["SetHand"][];
            items: components["schemas"]["SetItem"][];
            /** Format: int64 */
            max_hands: number;
            /** Format: double */
            net_per_hour: number;
            /**
             * Format: double
             * @description When people pick everything
             */
            people_net_per_hour: number;
            /** @description The next best sets, best first */
            runners_up: components["schemas"]["SetOption"][];
            /** Format: int64 */
            sets_evaluated: number;
            /**
             * Format: int64
             * @description Further trials of a pair whose worth is told
             */
            trials: number;
            warnings: string[];
            /** @description Pairs whose trials could change the answer, most valuable first */
            worth: components["schemas"]["SetWorth"][];
        };
        HandSheet: {
            cautions: string[];
            hands: components["schemas"]["HandSheetHand"][];
            invented: boolean;
            /** Format: double */
            level: number;
            /** @description All tests; those that no hand has are without rows */
            tests: components["schemas"]["HandSheetTest"][];
        };
        HandSheetHand: {
            id: string;
            name: string;
            /**
             * Format: int64
             * @description On the sheet
             */
            records: number;
        };
        HandSheetNote: {
            hand: string;
            text: string;
            variant: string;
        };
        HandSheetRow: {
            /** @description One for each hand; null where the hand lacks it */
            cells: components["schemas"]["BenchFigure"][] | null;
            group: string;
            name: string;
            unit: string;
            variant: string;
        };
        HandSheetTest: {
            name: string;
            notes: components["schemas"]["HandSheetNote"][];
            rows: components["schemas"]["HandSheetRow"][];
            title: string;
        };
        History: {
            counted: string;
            entries: components["schemas"]["Trial"][];
            inspections: components["schemas"]["Inspection"][];
        };
        ImportResult: {
            dry_run: boolean;
            /** @description Columns not used */
            ignored: string[];
            /**
             * Format: int64
             * @description Trials whose key was already in the record
             */
            repeated: number;
            /**
             * Format: int64
             * @description Rows in the file
             */
            rows: number;
            /**
             * Format: int64
             * @description Trials stored now
             */
            stored: number;
        };
        Inspection: {
            /** @enum {string} */
            finding: "sound" | "damaged";
            /** Format: int64 */
            readonly id?: number;
            inspector?: string;
            key: string;
            note?: string;
            /** Format: date-time */
            readonly recorded?: string;
            /** Format: date-time */
            seen_at: string;
            /** Format: int64 */
            trial: number;
        };
        InventedKnock: {
            /**
             * Format: double
             * @description Where it was knocked on
             */
            position_mm: number;
            /** Format: int64 */
            rate_hz: number;
            /** @description Full scale is 32768 */
            samples: number[];
        };
        Item: {
            /** Format: date-time */
            readonly created: string;
            /**
             * Format: double
             * @description Peak force above which damage is expected; 0: not known
             */
            damage_force_N: number;
            food: boolean;
            /** Format: double */
            friction: number;
            id?: string;
            /** @description True for demonstration data that no bench ever saw */
            readonly invented: boolean;
            /**
             * Format: double
             * @description Hours after a trial until damage may first show; 0: at once
             */
            late_damage_h: number;
            /** Format: double */
            mass_g: number;
            /**
             * Format: double
             * @description Standard deviation as a share of the mean
             */
            mass_spread: number;
            name: string;
            note?: string;
            /**
             * Format: int64
             * @description Counts edits from 1; the ETag
             */
            readonly revision: number;
            /** @enum {string} */
            shape: "ellipsoid" | "cylinder" | "box" | "crescent";
            /**
             * Format: double
             * @description Standard deviation as a share of the mean
             */
            size_spread: number;
            /** Format: double */
            size_x_mm: number;
            /** Format: double */
            size_y_mm: number;
            /** Format: double */
            size_z_mm: number;
            /**
             * Format: double
             * @description How it yields under a finger; 0: not known
             */
            stiffness_N_per_mm: number;
            turning: components["schemas"]["Turning"];
            /** Format: date-time */
            readonly updated: string;
        };
        ItemEconomics: {
            /**
             * Format: double
             * @description That the target is reached, 0.5 to 1
             */
            confidence: number;
            /**
             * Format: double
             * @description Cost of a damaged item: the item and cleaning up
             */
            cost_damaged: number;
            /**
             * Format: double
             * @description Cost of a failed attempt
             */
            cost_failed: number;
            /** @description By outcome, where it differs from cost_failed: dropped, slipped, missed, pushed, stopped, failed */
            cost_failed_by?: {
                [key: string]: number;
            };
            /**
             * Format: double
             * @description Cost of handing one item to a person during automatic picking
             */
            cost_person_item: number;
            /** Format: date-time */
            readonly created: string;
            /**
             * Format: double
             * @description An attempt's duration where no trial was timed, s; 0: not known
             */
            cycle_s: number;
            /**
             * Format: double
             * @description Items that the line is fed in an hour; 0: as many as it can take
             */
            demand_per_hour: number;
            /**
             * Format: double
             * @description Added to every failed attempt, s
             */
            fail_s: number;
            /** @description The item's */
            id?: string;
            /** @description True for demonstration data that no bench ever saw */
            readonly invented: boolean;
            /**
             * Format: double
             * @description Added to every item, s
             */
            item_s: number;
            note?: string;
            /**
             * Format: double
             * @description A person's time for an item when a person picks all, s
             */
            person_s: number;
            /** @description What follows each failed attempt */
            retry: ("same" | "next" | "person" | "leave")[];
            /**
             * Format: double
             * @description The odds of success at each further attempt are multiplied by it
             */
            retry_factor: number;
            /**
             * Format: int64
             * @description Counts edits from 1; the ETag
             */
            readonly revision: number;
            /**
             * Format: double
             * @description Of the line's hours, 0 to 1
             */
            share: number;
            /**
             * Format: double
             * @description Latent correlation of attempts at one item, 0 to 0.95; left out: assumed
             */
            shared?: number;
            /**
             * Format: double
             * @description Success that an automated pick must reach; 0: the study's
             */
            target: number;
            /** Format: date-time */
            readonly updated: string;
            /**
             * Format: double
             * @description Money that an item placed undamaged brings
             */
            value_per_good: number;
            /**
             * Format: double
             * @description How long the line waits for each item handed to a person, s
             */
            wait_s: number;
        };
        ItemValue: {
            currency: string;
            /**
             * Format: int64
             * @description 0: nobody stated the item's figures yet
             */
            economics_revision: number;
            item: string;
            /**
             * Format: double
             * @description What a person alone picks
             */
            person_items_per_hour: number;
            /**
             * Format: double
             * @description Net value when a person picks all
             */
            person_net_per_hour: number;
            retry: string[];
            /** @description Greatest expected net value first */
            rows: components["schemas"]["ValueRow"][];
            /**
             * Format: double
             * @description Latent correlation of attempts at one item that was used
             */
            shared: number;
            shared_assumed: boolean;
            /** Format: double */
            target: number;
            warnings: string[];
        };
        JudgePair: {
            a: string;
            /** @description By outcome */
            all: components["schemas"]["TwoAgree"];
            b: string;
            /** @description By held or not only */
            held_only: components["schemas"]["TwoAgree"];
            /** @description Trials by outcome as A and as B judged; rows are A's */
            table: number[][];
            /** Format: int64 */
            trials: number;
        };
        JudgeRow: {
            /** Format: int64 */
            held: number;
            name: string;
            /** Format: int64 */
            trials: number;
        };
        Judgement: {
            /** Format: int64 */
            readonly id?: number;
            judge: string;
            /**
             * Format: date-time
             * @description Now when left out
             */
            judged_at?: string;
            /** @description Any text that is new for each judgement; repeat it when you send one again */
            key: string;
            note?: string;
            /** @enum {string} */
            outcome: "held" | "dropped" | "slipped" | "missed" | "pushed" | "damaged" | "stopped" | "failed";
            /** Format: date-time */
            readonly recorded?: string;
            /** Format: int64 */
            trial: number;
        };
        Lab: {
            /** Format: int64 */
            cards: number;
            /** Format: int64 */
            hands: number;
            /** @description The lab holds demonstration data */
            invented: boolean;
            /** Format: int64 */
            items: number;
            name: string;
            /** @description What to do next, most useful first */
            next: components["schemas"]["Todo"][];
            /** Format: int64 */
            settings: number;
            /** Format: int64 */
            studies: number;
            /** Format: int64 */
            trials: number;
            version: string;
        };
        LevelPair: {
            a: string;
            b: string;
            /**
             * Format: double
             * @description Two-sided p after Holm's correction over all pairs
             */
            holm_p: number;
            measured: components["schemas"]["Difference"];
            unit: string;
        };
        LevelRow: {
            /** Format: int64 */
            held: number;
            /** Format: double */
            high: number;
            /**
             * Format: double
             * @description Exact interval of the share held
             */
            low: number;
            name: string;
            /** Format: int64 */
            trials: number;
        };
        LineEconomics: {
            /** Format: date-time */
            readonly created: string;
            /** @description ISO 4217 code of all amounts; nothing is converted */
            currency: string;
            /**
             * Format: double
             * @description A production cycle, in which each kept hand is put on once, h
             */
            cycle_h: number;
            /** @description line */
            id?: string;
            /** @description True for demonstration data that no bench ever saw */
            readonly invented: boolean;
            /**
             * Format: double
             * @description Cost of an hour of the line
             */
            line_per_hour: number;
            note?: string;
            /**
             * Format: double
             * @description Cost of an hour of the person who would pick instead
             */
            person_per_hour: number;
            /**
             * Format: int64
             * @description Counts edits from 1; the ETag
             */
            readonly revision: number;
            /**
             * Format: double
             * @description Money lost in an hour that the line stands, for tool changes
             */
            standing_per_hour: number;
            /** Format: date-time */
            readonly updated: string;
        };
        LineError: {
            /**
             * Format: double
             * @description Root mean square turn between asked and actual hand orientation
             */
            angle_deg: number;
            /**
             * Format: double
             * @description Standard deviation of the item's placement along x and along y
             */
            position_mm: number;
        };
        LossPoint: {
            /** Format: double */
            expected: number;
            /** Format: double */
            high: number;
            /** Format: double */
            low: number;
            /** Format: int64 */
            trials: number;
        };
        MapInfo: {
            /**
             * Format: double
             * @description Standard deviation of the log-odds over orientations
             */
            amplitude: number;
            /**
             * Format: double
             * @description Above 1: success changes faster with roll than with direction
             */
            anisotropy: number;
            /** Format: int64 */
            basis_size: number;
            /** Format: double */
            blur_deg: number;
            /** @description The same as a table: counts and estimates at each planned orientation */
            cells: components["schemas"]["Cell"][];
            condition: components["schemas"]["Condition"];
            /**
             * Format: int64
             * @description Largest degree of the functions on the rotation group
             */
            degree: number;
            dispersion: components["schemas"]["Dispersion"];
            /**
             * Format: int64
             * @description The map repeats after 1/heading_fold of a turn of the hand
             */
            heading_fold: number;
            /** Format: int64 */
            held: number;
            invented: boolean;
            /** Format: double */
            length_scale_deg: number;
            /**
             * Format: int64
             * @description Grows with every entry of the study; equal marks, equal maps
             */
            mark: number;
            raster: components["schemas"]["RasterInfo"];
            scores: components["schemas"]["Scores"];
            /** Format: double */
            seconds: number;
            symmetry: string;
            /**
             * Format: double
             * @description Largest tilt drawn
             */
            tilt_max_deg: number;
            /** Format: int64 */
            trials: number;
            /** @description What the map can not tell, in plain sentences */
            warnings: string[];
        };
        MapMarks: {
            azimuth_deg: number[];
            /** @description Index into outcomes */
            counted: number[];
            /** @description azimuth + roll, 0 to 360 */
            heading_deg: number[];
            outcomes: string[];
            tilt_deg: number[];
            trial: number[];
        };
        MapPoint: {
            /** @description The nearest trials */
            near: components["schemas"]["NearTrial"][];
            orientation: components["schemas"]["Orientation"];
            /** Format: double */
            p: number;
            /** Format: double */
            p_blurred: number;
            /** Format: double */
            p_high: number;
            /** Format: double */
            p_low: number;
        };
        MapsComparison: {
            a: components["schemas"]["Condition"];
            b: components["schemas"]["Condition"];
            /** Format: double */
            blur_deg: number;
            /** @description 1: A is clearly better at this orientation, -1: B is, 0: not clear; 2 and -2: also in a band over all orientations at once */
            clear: number[][];
            /**
             * Format: double
             * @description Share of orientations where A is clearly better
             */
            clear_a: number;
            /** Format: double */
            clear_b: number;
            /** Format: int64 */
            heading_fold: number;
            /**
             * Format: int64
             * @description Headings over one period, evenly from 0
             */
            headings: number;
            /** Format: double */
            level: number;
            /** Format: int64 */
            mark: number;
            /** @description Expected difference, A minus B, in thousandths, by picture and pixel; 9999 outside the disc */
            points: number[][];
            sentence: string;
            /**
             * Format: int64
             * @description Rows and columns of a picture
             */
            size: number;
            /**
             * Format: double
             * @description Share where it is so in a band over all orientations at once
             */
            sure_a: number;
            /** Format: double */
            sure_b: number;
            /** Format: double */
            tilt_max_deg: number;
            warnings: string[];
        };
        ModelBand: {
            /**
             * Format: double
             * @description By the fitted simulation
             */
            expected: number;
            /** Format: double */
            expected_high: number;
            /**
             * Format: double
             * @description With the luck of as many trials
             */
            expected_low: number;
            /** Format: double */
            from_deg: number;
            /** Format: int64 */
            held: number;
            /** Format: double */
            observed: number;
            /** Format: double */
            observed_high: number;
            /** Format: double */
            observed_low: number;
            /** Format: double */
            to_deg: number;
            /** Format: int64 */
            trials: number;
        };
        ModelDisagrees: {
            /**
             * Format: double
             * @description Of as much anywhere, if the simulation were right
             */
            chance: number;
            sentence: string;
        };
        ModelFit: {
            azimuths: components["schemas"]["ModelBand"][];
            correlation: number[][];
            /**
             * Format: double
             * @description Probability that the bench follows another pattern over orientations
             */
            differs: number;
            disagreements: components["schemas"]["ModelDisagrees"][];
            /** Format: date-time */
            fitted_at: string;
            /** Format: int64 */
            held: number;
            /** @description It is the prior mean of the condition's map */
            in_use: boolean;
            offsets_known: boolean;
            quantities: components["schemas"]["FittedQuantity"][];
            seed: string;
            sentence: string;
            /** Format: int64 */
            simulated: number;
            tilts: components["schemas"]["ModelBand"][];
            /** Format: int64 */
            trials: number;
            /**
             * Format: double
             * @description Trials that the map without the simulation would need in addition; an order of magnitude
             */
            trials_saved: number;
            /**
             * Format: double
             * @description 0 to 1, that the simulation speaks for the bench
             */
            trust: number;
            /** @description Trials that the model finds least likely */
            unlikely: components["schemas"]["ModelUnlikely"][];
            warnings: string[];
        };
        ModelInfo: {
            /**
             * Format: int64
             * @description How many simulated trials a fit takes unless asked otherwise
             */
            budget: number;
            condition: components["schemas"]["Condition"];
            /** @description A fit of another condition is under way */
            elsewhere: boolean;
            /** @description Why the last fit gave nothing */
            failed?: string;
            /** @description Why it can not be simulated */
            fault?: string;
            fit?: components["schemas"]["ModelFit"];
            invented: boolean;
            /** @description What of the simulation the trials can tell */
            quantities: components["schemas"]["ModelQuantity"][];
            running?: components["schemas"]["ModelRunning"];
            /** @description The server has files that describe the condition for simulation */
            simulable: boolean;
            /** @description Trials were added or changed since the fit */
            stale: boolean;
        };
        ModelQuantity: {
            /** Format: double */
            high: number;
            /** Format: double */
            low: number;
            /** @description Its unit stands in it, where it has one */
            name: string;
            /** @description Fitted unless others are asked for */
            usual: boolean;
            words: string;
        };
        ModelRange: {
            /** Format: double */
            high: number;
            /** Format: double */
            low: number;
            name: string;
        };
        ModelRunning: {
            /** Format: int64 */
            budget: number;
            /**
             * Format: double
             * @description Since it was begun
             */
            seconds: number;
            /** Format: int64 */
            simulated: number;
            stage: string;
        };
        ModelStart: {
            /**
             * Format: int64
             * @description Simulated trials
             */
            budget?: number;
            /** @description The items lay where the trials say; else the position error stands for it */
            offsets_known: boolean;
            /** @description The usual ones in their usual ranges when left out */
            quantities?: components["schemas"]["ModelRange"][];
            /** @description The same seed gives the same answer; 1 when left out */
            seed?: string;
            /**
             * Format: double
             * @description Time step of the simulation; 2 when left out
             */
            step_ms?: number;
        };
        ModelUnlikely: {
            /** Format: double */
            chance: number;
            orientation: components["schemas"]["Orientation"];
            outcome: string;
            /** Format: int64 */
            trial: number;
        };
        ModelUse: {
            in_use: boolean;
        };
        NearTrial: {
            /** Format: double */
            angle_deg: number;
            counted: string;
            /** @description A simulated trial whose film is among its recordings */
            replay: boolean;
            /** Format: int64 */
            trial: number;
        };
        NewProofTrial: {
            /** Format: double */
            duration_s?: number;
            /** @description Any text that is new for each trial; repeat it when you send the same request again */
            key: string;
            /** @description As measured */
            measured?: components["schemas"]["Orientation"];
            note?: string;
            /**
             * Format: int64
             * @description Of the task that was carried out; 0: whichever is next
             */
            number?: number;
            operator?: string;
            /** @enum {string} */
            outcome: "held" | "dropped" | "slipped" | "missed" | "pushed" | "damaged" | "stopped" | "failed" | "void";
            /** Format: double */
            peak_force_N?: number;
            /** @description Digests of files that were stored before */
            recordings?: string[];
            /** Format: date-time */
            started_at?: string;
            void_reason?: string;
        };
        NewTouchLabel: {
            by: string;
            /** Format: int64 */
            clip: number;
            leave_out?: boolean;
            /** Format: double */
            position_mm?: number;
            zone?: string;
        };
        NewTrial: {
            /** Format: int64 */
            block?: number;
            /** Format: double */
            closing?: number;
            /**
             * Format: int64
             * @description Entry that this one replaces; it must be the newest of its history
             */
            corrects?: number;
            /** Format: double */
            duration_s?: number;
            hand?: string;
            item?: string;
            /** @description Any text that is new for each trial; repeat it when you send the same request again */
            key: string;
            /** @description As measured */
            measured?: components["schemas"]["Orientation"];
            note?: string;
            /** Format: double */
            offset_x_mm?: number;
            /** Format: double */
            offset_y_mm?: number;
            /** Format: double */
            offset_z_mm?: number;
            operator?: string;
            /**
             * Format: int64
             * @description Planned run that was carried out; its conditions are filled in where you leave them out
             */
            order?: number;
            /** @description As asked */
            orientation?: components["schemas"]["Orientation"];
            /** @enum {string} */
            outcome: "held" | "dropped" | "slipped" | "missed" | "pushed" | "damaged" | "stopped" | "failed" | "void";
            /** Format: double */
            peak_force_N?: number;
            /** @description Digests of files that were stored before */
            recordings?: string[];
            setting?: string;
            /** Format: date-time */
            started_at?: string;
            strategy?: string;
            void_reason?: string;
        };
        NextChoice: {
            /** @description What it is chosen for, where a study has several items or settings */
            group?: string;
            hand: string;
            item: string;
            /** @description rank: best first */
            order?: components["schemas"]["NextRank"][];
            /** @description Middle of the region; none for a border */
            orientation?: components["schemas"]["Orientation"];
            setting: string;
            /**
             * Format: double
             * @description border: share of orientations that would be said to reach the target
             */
            share?: number;
            strategy: string;
            /**
             * Format: double
             * @description Expected; for a border the share of orientations that reach the target
             */
            success: number;
            /**
             * Format: double
             * @description 95 % quantile
             */
            success_high: number;
            /**
             * Format: double
             * @description 5 % quantile
             */
            success_low: number;
        };
        NextLoss: {
            /** Format: double */
            expected: number;
            /** Format: double */
            high: number;
            /** Format: double */
            low: number;
        };
        NextRank: {
            hand: string;
            strategy: string;
            /**
             * Format: double
             * @description Expected of its best region
             */
            success: number;
        };
        NextRun: {
            cautions: string[];
            hand: components["schemas"]["Hand"];
            /** Format: double */
            hours_left: number;
            item: components["schemas"]["Item"];
            /** Format: date-time */
            lease_until: string;
            /**
             * Format: int64
             * @description Planned runs not yet carried out, this one included
             */
            left: number;
            run: components["schemas"]["PlannedRun"];
            setting: components["schemas"]["Setting"];
            strategy: components["schemas"]["Strategy"];
        };
        NextTrials: {
            aim: components["schemas"]["Aim"];
            /** @description What would be answered now */
            choices: components["schemas"]["NextChoice"][];
            /** @description The loss is below the tolerance with 95 % probability: stopping is suggested, the person decides */
            enough: boolean;
            /** @description Only when asked for */
            history?: components["schemas"]["LossPoint"][];
            invented: boolean;
            /** @description false while a way of picking has no trial: then there is no loss to state */
            known: boolean;
            /** @description What choosing now is expected to lose */
            loss: components["schemas"]["NextLoss"];
            /** @enum {string} */
            loss_unit: "success" | "share of orientations";
            /**
             * Format: int64
             * @description Planned runs that are not carried out; what they will tell is counted
             */
            pending: number;
            /**
             * Format: int64
             * @description The plan's last run
             */
            plan_end: number;
            /** @description The proposed runs, reference runs included */
            runs: components["schemas"]["PlannedRun"][];
            text: string;
            /**
             * Format: int64
             * @description Trials that count, without reference trials
             */
            trials: number;
            /** @description Why this set-up, or why nothing is proposed */
            why?: string;
            /**
             * Format: double
             * @description Money that a share of success of 1 is worth, a pick; left out when not known
             */
            worth_per_pick?: number;
        };
        NoWorse: {
            /**
             * Format: double
             * @description Lower bound of the difference
             */
            bound: number;
            /**
             * Format: double
             * @description Posterior probability that A is no worse by more than the margin
             */
            chance?: number;
            /**
             * Format: double
             * @description Posterior probability that the difference is smaller than the margin either way
             */
            chance_equal?: number;
            /**
             * Format: double
             * @description Of each bound
             */
            confidence: number;
            /** Format: double */
            margin: number;
            /** @description The lower bound lies above minus the margin */
            shown: boolean;
            /** @description Both bounds lie within the margin: two one-sided tests */
            shown_equal: boolean;
            /**
             * Format: double
             * @description Upper bound of the difference
             */
            upper: number;
        };
        OffsetPlan: {
            /** @enum {string} */
            kind: "none" | "gaussian" | "disc";
            /** Format: double */
            radius_mm?: number;
            /** Format: double */
            sigma_x_mm?: number;
            /** Format: double */
            sigma_y_mm?: number;
        };
        Orientation: {
            /** Format: double */
            azimuth_deg?: number;
            /** Format: double */
            qw?: number;
            /** Format: double */
            qx?: number;
            /** Format: double */
            qy?: number;
            /** Format: double */
            qz?: number;
            /** Format: double */
            roll_deg?: number;
            /** Format: double */
            tilt_deg?: number;
        };
        OrientationPlan: {
            /** @description Azimuths on each ring: one number for all rings, or one a ring */
            azimuths?: number[];
            /** Format: int64 */
            count?: number;
            /** @enum {string} */
            kind: "rings" | "even";
            rolls_deg?: number[];
            /** Format: double */
            tilt_max_deg?: number;
            tilts_deg?: number[];
        };
        OrientationPreview: {
            /**
             * Format: double
             * @description Largest turn from any orientation within the tilt limit to the nearest point
             */
            covering_deg: number;
            /**
             * Format: int64
             * @description Orientations left out because symmetry makes them equal to another
             */
            folded: number;
            points: components["schemas"]["Orientation"][];
            /**
             * Format: double
             * @description Smallest turn between two points
             */
            separation_deg: number;
            /** @description The symmetry used, in words */
            symmetry: string;
        };
        PadContact: {
            /** @description A pad that can not be read lies beside it: centre and force may miss what it would have felt */
            blind: boolean;
            /**
             * Format: int64
             * @description The same number from frame to frame while it lasts
             */
            contact: number;
            /** Format: double */
            force_N: number;
            /** Format: double */
            force_error_N: number;
            pads: number[];
            /**
             * Format: double
             * @description Root of the mean squared distance from the centre, weighted by force
             */
            radius_mm: number;
            /** Format: double */
            x_error_mm: number;
            /** Format: double */
            x_mm: number;
            /** Format: double */
            xy_covariance_mm2: number;
            /** Format: double */
            y_error_mm: number;
            /** Format: double */
            y_mm: number;
        };
        PadEpisode: {
            /** @description In any of its frames */
            blind: boolean;
            /** Format: int64 */
            contact: number;
            /** Format: int64 */
            frames: number;
            /** Format: double */
            from_s: number;
            hardest: components["schemas"]["PadContact"];
            /** Format: double */
            hardest_s: number;
            /** Format: double */
            to_s: number;
        };
        PadFrame: {
            /** @description Pads pressed harder than they were calibrated */
            beyond: number[];
            contacts: components["schemas"]["PadContact"][];
            /** @description By pad; 0 for pads that can not be read */
            forces_N: number[];
            /** Format: double */
            time_s: number;
        };
        PadLeak: {
            /** Format: int64 */
            from: number;
            /** Format: double */
            high: number;
            /**
             * Format: double
             * @description 95 % interval
             */
            low: number;
            /**
             * Format: double
             * @description Of the change of the one that shows in the other
             */
            share: number;
            /** Format: int64 */
            to: number;
        };
        PadReport: {
            /**
             * Format: double
             * @description Of a contact in a frame in which nothing touches
             */
            chance: number;
            /** @description Each contact from its first frame to its last */
            contacts: components["schemas"]["PadEpisode"][];
            frames: components["schemas"]["PadFrame"][];
            /** @description What pads pass to others, where it stands out */
            leaks: components["schemas"]["PadLeak"][];
            pads: components["schemas"]["PadState"][];
            /**
             * Format: double
             * @description Pads nearer than this are neighbours
             */
            reach_mm: number;
            sentence: string;
            /**
             * Format: double
             * @description Standard errors that a pad's force must stand above nothing
             */
            threshold_errors: number;
            warnings: string[];
        };
        PadState: {
            /**
             * Format: double
             * @description 0 where a straight line does as well
             */
            bend_per_N2: number;
            /** Format: double */
            gain_per_N: number;
            /**
             * Format: double
             * @description Largest force of the calibration
             */
            most_N: number;
            /**
             * Format: double
             * @description Standard deviation of the force by noise; 0 for pads that can not be read
             */
            noise_N: number;
            /** Format: double */
            noise_sd: number;
            /**
             * Format: double
             * @description Reading when nothing presses
             */
            offset: number;
            /** Format: int64 */
            pad: number;
            readable: boolean;
            /** @enum {string} */
            state: "good" | "dead" | "untried" | "bridged" | "clipping";
            /** Format: double */
            x_mm: number;
            /** Format: double */
            y_mm: number;
            /** Format: double */
            z_mm: number;
        };
        PadsFollowed: {
            frames?: components["schemas"]["PadFrame"][];
            /** @enum {string} */
            kind: "frames" | "fault";
            /**
             * Format: int64
             * @description Readings that came faster than they could be told
             */
            lost?: number;
            /** @description Of a fault, which ends the stream */
            message?: string;
            /** @description All that is known but the frames: at first, after a rig began anew, and once a second */
            report?: components["schemas"]["PadReport"];
        };
        Plan: {
            runs: components["schemas"]["PlannedRun"][];
            summary: components["schemas"]["PlanSummary"];
        };
        PlanSummary: {
            /** Format: int64 */
            blocks: number;
            /**
             * Format: int64
             * @description Times that a hand, a setting or an item is changed
             */
            changes: number;
            /**
             * Format: double
             * @description Estimated bench hours
             */
            hours: number;
            /** @description What the analysis must keep in mind */
            notes: string[];
            orientations: components["schemas"]["OrientationPreview"];
            /** Format: int64 */
            reference_runs: number;
            /**
             * Format: int64
             * @description All runs with reference runs
             */
            runs: number;
            seed: string;
            study: string;
            /** Format: int64 */
            whole_plots: number;
        };
        PlannedRun: {
            /** Format: int64 */
            block: number;
            /**
             * Format: int64
             * @description Number of the orientation in the plan's list, from 0; -1: reference trial
             */
            cell: number;
            /** Format: double */
            closing: number;
            done: boolean;
            hand: string;
            item: string;
            /** Format: double */
            offset_x_mm: number;
            /** Format: double */
            offset_y_mm: number;
            /** Format: int64 */
            order: number;
            orientation: components["schemas"]["Orientation"];
            reference: boolean;
            /** Format: int64 */
            replicate: number;
            setting: string;
            strategy: string;
            /** Format: int64 */
            whole_plot: number;
            /** @description Why the run was added to the plan; none for runs that the plan's seed drew */
            why?: string;
        };
        PreviewQuestion: {
            hand: string;
            item: string;
            plan: components["schemas"]["OrientationPlan"];
            setting: string;
        };
        Problem: {
            /** @description What is wrong and what to do, in one sentence */
            detail: string;
            /** @description Details by field */
            errors?: components["schemas"]["ProblemField"][];
            /**
             * @description Decide by this, never by the text
             * @enum {string}
             */
            kind: "invalid" | "notFound" | "conflict" | "stale" | "refused" | "internal";
            /**
             * Format: int64
             * @description HTTP status code
             */
            status: number;
            /** @description What the status means */
            title: string;
            /** @description Always about:blank: the title says what the status means */
            type: string;
        };
        ProblemField: {
            /** @description Path of the field as you sent it, such as closing_levels[2]; parameters begin with query., path. or header. */
            location: string;
            /** @description What is wrong and what is allowed */
            message: string;
            /** @description The offending value as text */
            value?: string;
        };
        Progress: {
            blocks: components["schemas"]["BlockProgress"][];
            /** Format: int64 */
            done: number;
            /** @description What the reference trials say, in one sentence */
            drift: string;
            /**
             * Format: double
             * @description Two-sided p-value of a trend of the reference trials over blocks; 1 when it can not be tested
             */
            drift_p: number;
            /** Format: int64 */
            held: number;
            /** Format: double */
            high: number;
            /** Format: double */
            hours_left: number;
            /** Format: int64 */
            left: number;
            /**
             * Format: double
             * @description Exact 90 % interval of the share held
             */
            low: number;
            /** Format: int64 */
            planned: number;
            study: string;
            /**
             * Format: int64
             * @description Trials that count, without reference trials
             */
            trials: number;
            /**
             * Format: int64
             * @description Held trials of items whose damage shows late, not yet inspected
             */
            uninspected: number;
        };
        Proof: {
            accept: number[];
            /** @description The verdict by the outcomes as first entered, when corrections or inspections changed it */
            as_entered?: string;
            /**
             * Format: int64
             * @description Made after the decision
             */
            beyond: number;
            cautions: string[];
            /**
             * Format: int64
             * @description Trials that count otherwise than they were first entered
             */
            changed: number;
            /** Format: double */
            closing: number;
            design: components["schemas"]["ProofDesign"];
            /** @description SHA-256 of what was signed */
            digest: string;
            /** Format: int64 */
            failures: number;
            /** Format: date-time */
            given_up?: string;
            given_up_by?: string;
            hand: string;
            /** Format: double */
            high: number;
            id: string;
            /** @description What was signed still has its digest */
            intact: boolean;
            invented: boolean;
            item: string;
            /** @description Put on every trial on purpose */
            line_error: components["schemas"]["LineError"];
            /** Format: int64 */
            longest: number;
            /**
             * Format: double
             * @description 90 % interval of the success probability that knows how the run may stop
             */
            low: number;
            /**
             * Format: double
             * @description Of the posterior
             */
            mean: number;
            next?: components["schemas"]["ProofTask"];
            nominal: components["schemas"]["Orientation"];
            note?: string;
            /** Format: double */
            prior_failures: number;
            /** Format: double */
            prior_successes: number;
            /** Format: double */
            radius_deg: number;
            /**
             * Format: double
             * @description Posterior chance that the success exceeds the target
             */
            reaches: number;
            reason?: string;
            /** @description Empty: all trials at the nominal orientation */
            region: components["schemas"]["Orientation"][];
            reject: number[];
            rule: string;
            seed: string;
            /** @description The verdict in words */
            sentence: string;
            setting: string;
            /** Format: date-time */
            signed_at: string;
            signed_by: string;
            /** Format: double */
            spacing_deg: number;
            steps: components["schemas"]["ProofStep"][];
            strategy: string;
            study: string;
            /** Format: double */
            target: number;
            /**
             * Format: int64
             * @description That count towards the verdict
             */
            trials: number;
            /** @enum {string} */
            verdict: "accepted" | "rejected" | "go on" | "given up";
            /** Format: int64 */
            void: number;
        };
        ProofDesign: {
            /**
             * Format: double
             * @description Table: acceptance quality limit, per cent failing
             */
            aql_pct?: number;
            /**
             * Format: double
             * @description Two-point, sequential: share of failures that should not pass
             */
            bad?: number;
            /**
             * Format: int64
             * @description Double: failures allowed in both samples together
             */
            both_allowed?: number;
            /**
             * Format: double
             * @description Success run
             */
            confidence?: number;
            /**
             * Format: double
             * @description Largest chance that the bad share is accepted
             */
            consumer_risk?: number;
            /**
             * Format: int64
             * @description Success run: failures allowed
             */
            failures?: number;
            /**
             * Format: int64
             * @description Double: trials of the first sample
             */
            first?: number;
            /**
             * Format: int64
             * @description Double: failures with which the first sample is accepted
             */
            first_allowed?: number;
            /**
             * Format: int64
             * @description Double: failures with which the first sample is rejected
             */
            first_rejects?: number;
            /** @description Run all trials even when the outcome is certain */
            full_length?: boolean;
            /**
             * Format: double
             * @description Two-point, sequential: share of failures that should pass
             */
            good?: number;
            /** @enum {string} */
            kind: "success-run" | "two-point" | "table" | "double" | "sequential";
            /**
             * @description Table: inspection level
             * @enum {string}
             */
            level?: "" | "S-1" | "S-2" | "S-3" | "S-4" | "I" | "II" | "III";
            /**
             * Format: int64
             * @description Sequential: cut off after so many trials; 0: one and a half times the fixed plan
             */
            longest?: number;
            /**
             * Format: int64
             * @description Table: items in the lot
             */
            lot_size?: number;
            /**
             * Format: double
             * @description Largest chance that the good share is rejected
             */
            producer_risk?: number;
            /**
             * Format: int64
             * @description Double: trials of the second sample
             */
            second?: number;
            /**
             * @description Table
             * @enum {string}
             */
            severity?: "" | "normal" | "tightened";
            /**
             * Format: double
             * @description Success run: success probability to show
             */
            success?: number;
        };
        ProofLines: {
            /** @description Wald's own approximation at his five points; too short */
            approximate: components["schemas"]["ProofPoint"][];
            /** @description The same points, exactly */
            exact: components["schemas"]["ProofPoint"][];
            /** Format: double */
            intercept_accept: number;
            /** Format: double */
            intercept_reject: number;
            /** Format: double */
            slope: number;
        };
        ProofPlan: {
            /** @description Entry n-1: accepted after n trials with so many failures or fewer; -1: not there */
            accept: number[];
            /**
             * Format: int64
             * @description Failures that are accepted at the end
             */
            allowed: number;
            curve: components["schemas"]["ProofPoint"][];
            /**
             * Format: double
             * @description Under the prior
             */
            expected_trials: number;
            lines?: components["schemas"]["ProofLines"];
            /**
             * Format: int64
             * @description Trials after which every run is decided
             */
            longest: number;
            /**
             * Format: double
             * @description Chance to pass, all doubt of the prior counted
             */
            pass: number;
            points: components["schemas"]["ProofPoint"][];
            /** Format: double */
            prior_failures: number;
            /** Format: double */
            prior_successes: number;
            /** @description Entry n-1: rejected after n trials with so many failures or more; above n: not there */
            reject: number[];
            /** @description In words */
            rule: string;
            sentences: string[];
            /** Format: double */
            target: number;
            /**
             * Format: double
             * @description Chance that the success exceeds the target, given that the run passes
             */
            target_if_passed?: number;
        };
        ProofPoint: {
            /**
             * Format: double
             * @description Chance that the run is accepted
             */
            pass: number;
            /** Format: double */
            success: number;
            /**
             * Format: double
             * @description Expected number of trials
             */
            trials: number;
        };
        ProofQuestion: {
            design: components["schemas"]["ProofDesign"];
            /** Format: double */
            prior_failures?: number;
            /**
             * Format: double
             * @description Of the success probability; left out: even
             */
            prior_successes?: number;
            /**
             * Format: double
             * @description Success to compare with; 0: the design's, else the study's
             */
            target?: number;
        };
        ProofStep: {
            /** @description Made after the decision, not part of it */
            beyond: boolean;
            /** @description It counts otherwise than it was first entered */
            changed: boolean;
            /** Format: double */
            closing: number;
            /** @description As it counts now, with inspections */
            counted: string;
            /** @description As it was first entered */
            entered: string;
            /**
             * Format: int64
             * @description Among them
             */
            failures: number;
            /**
             * Format: int64
             * @description Newest entry: the one to correct
             */
            newest: number;
            /**
             * Format: int64
             * @description From 1, void trials counted
             */
            number: number;
            /**
             * Format: double
             * @description Where to put the item, minus where it will be believed to be
             */
            offset_x_mm: number;
            /** Format: double */
            offset_y_mm: number;
            operator?: string;
            orientation: components["schemas"]["Orientation"];
            /** Format: date-time */
            recorded_at: string;
            /** Format: date-time */
            started_at?: string;
            /**
             * Format: int64
             * @description First entry
             */
            trial: number;
            /**
             * Format: int64
             * @description That count up to here
             */
            trials: number;
        };
        ProofSubject: {
            cautions: string[];
            /** Format: double */
            closing: number;
            hand: string;
            /** Format: double */
            high: number;
            item: string;
            line_error: components["schemas"]["LineError"];
            /** Format: double */
            low: number;
            /** @description Why there is no region to prove */
            missing?: string;
            nominal?: components["schemas"]["Orientation"];
            /** Format: double */
            prior_failures?: number;
            /**
             * Format: double
             * @description What the map says of the region, as a prior worth so many successes and failures
             */
            prior_successes?: number;
            /** Format: double */
            radius_deg: number;
            region: components["schemas"]["Orientation"][];
            setting: string;
            /** Format: double */
            spacing_deg: number;
            strategy: string;
            /**
             * Format: double
             * @description By the map: expected over the region, blurred by the line's error
             */
            success: number;
        };
        ProofTask: {
            /** Format: double */
            closing: number;
            /**
             * Format: int64
             * @description From 1, void trials counted
             */
            number: number;
            /**
             * Format: double
             * @description Where to put the item, minus where it will be believed to be
             */
            offset_x_mm: number;
            /** Format: double */
            offset_y_mm: number;
            orientation: components["schemas"]["Orientation"];
        };
        RasterInfo: {
            /**
             * Format: int64
             * @description Headings over one period, evenly from 0
             */
            headings: number;
            /** @description Layers in order, each with all headings: p, low, high, blurred; then mean, mean_low, mean_high, mean_blurred, best, best_low, best_high, best_blurred with one heading each */
            layers: string[];
            /**
             * Format: int64
             * @description Rows and columns
             */
            size: number;
        };
        ReadingsTaken: {
            /**
             * Format: int64
             * @description Pages and programs that follow now; readings that nobody follows are forgotten
             */
            followers: number;
            /** Format: int64 */
            taken: number;
        };
        Recording: {
            name: string;
            sha256: string;
            /** Format: int64 */
            size: number;
            type: string;
        };
        Reference: {
            /** Format: double */
            closing: number;
            orientation: components["schemas"]["Orientation"];
            strategy: string;
        };
        ReleaseCard: {
            hand: string;
            id?: string;
            item: string;
            /**
             * Format: double
             * @description The region must tolerate at least this turn; 0: no demand
             */
            min_radius_deg?: number;
            released_by: string;
            setting: string;
            strategy: string;
            study: string;
        };
        Said: {
            judge: string;
            note?: string;
            outcome: string;
        };
        SampleSize: {
            /** @description What each method asks for */
            methods: components["schemas"]["SampleSizeRow"][];
            /** @description The answer in one sentence */
            text: string;
            /**
             * Format: int64
             * @description Trials needed (for each strategy when two are compared)
             */
            trials: number;
        };
        SampleSizeQuestion: {
            /**
             * Format: double
             * @description 0 to 1, such as 0.95
             */
            confidence: number;
            /**
             * Format: int64
             * @description prove: failures allowed
             */
            failures?: number;
            /**
             * Format: double
             * @description interval: half of the interval's width
             */
            half_width?: number;
            /** @enum {string} */
            kind: "interval" | "compare" | "prove";
            /**
             * Format: double
             * @description compare: success of the second strategy
             */
            other?: number;
            /**
             * Format: double
             * @description compare: chance to see the difference
             */
            power?: number;
            /**
             * Format: double
             * @description prove: success rate to prove
             */
            prove?: number;
            /**
             * Format: double
             * @description interval: success expected; compare: success of the first strategy
             */
            success?: number;
        };
        SampleSizeRow: {
            method: string;
            note?: string;
            /** Format: double */
            trials: number;
        };
        Scores: {
            /** Format: double */
            base_brier: number;
            /** Format: double */
            base_log_loss: number;
            /** Format: double */
            brier: number;
            calibration: components["schemas"]["Calibration"][];
            /**
             * Format: int64
             * @description 0: too few trials to score
             */
            folds: number;
            /** Format: double */
            log_loss: number;
        };
        SensorReading: {
            /** Format: double */
            time_s: number;
            /** @description By pad or strip, in the order of the calibration */
            values: number[];
        };
        SensorReadings: {
            readings: components["schemas"]["SensorReading"][];
        };
        SetHand: {
            /**
             * Format: double
             * @description What changing to it costs, once there are other hands
             */
            change_per_hour: number;
            /** Format: double */
            cost_per_hour: number;
            hand: string;
            kept: boolean;
            name: string;
        };
        SetItem: {
            /** @description Empty: a person picks it */
            hand: string;
            item: string;
            name: string;
            /** @description In the order of hands */
            pairs: components["schemas"]["SetPair"][];
            /**
             * Format: double
             * @description While the item runs
             */
            person_net_per_hour: number;
            reason: string;
            /**
             * Format: double
             * @description Of the line's hours
             */
            share: number;
            /** Format: double */
            target: number;
        };
        SetOption: {
            hands: string[];
            /** Format: double */
            net_per_hour: number;
        };
        SetPair: {
            /** Format: int64 */
            held: number;
            /**
             * Format: double
             * @description While the item runs, before the hand's own cost an hour
             */
            net_per_hour: number;
            /** Format: double */
            probability_of_target: number;
            setting?: string;
            /**
             * @description Whether the target is met with the confidence
             * @enum {string}
             */
            state: "met" | "not-met" | "not-tested";
            strategy?: string;
            study?: string;
            success: components["schemas"]["Estimate"];
            /** Format: int64 */
            trials: number;
        };
        SetWorth: {
            /** Format: double */
            chance_of_change: number;
            /** Format: double */
            expected_gain_per_hour: number;
            /** Format: double */
            gain_per_hour_if_known: number;
            hand: string;
            item: string;
        };
        Setting: {
            /** Format: date-time */
            readonly created: string;
            /** @description The support ends in an edge across the setting's +x */
            edge: boolean;
            /** Format: double */
            edge_gap_mm: number;
            /** Format: double */
            friction: number;
            id?: string;
            /** @description True for demonstration data that no bench ever saw */
            readonly invented: boolean;
            name: string;
            note?: string;
            /**
             * Format: int64
             * @description Counts edits from 1; the ETag
             */
            readonly revision: number;
            /** @enum {string} */
            support: "table" | "conveyor" | "tray";
            turning: components["schemas"]["Turning"];
            /** Format: date-time */
            readonly updated: string;
            /** @description A wall stands beside the item, across the setting's +x */
            wall: boolean;
            /** Format: double */
            wall_gap_mm: number;
        };
        SignProof: {
            /** Format: double */
            closing?: number;
            design: components["schemas"]["ProofDesign"];
            hand?: string;
            id?: string;
            item?: string;
            /** Format: double */
            min_radius_deg?: number;
            note?: string;
            /** @description Prove this one orientation instead of the region */
            orientation?: components["schemas"]["Orientation"];
            /**
             * Format: double
             * @description Left out: 1
             */
            prior_failures?: number;
            /**
             * Format: double
             * @description Left out: 1
             */
            prior_successes?: number;
            setting?: string;
            signed_by: string;
            /** @description Leave the line's error out of the trials: the bench has its like already */
            steady?: boolean;
            strategy?: string;
            /** Format: double */
            target?: number;
        };
        Step: {
            do: string;
            /** @description The condition that ends the step */
            until: string;
        };
        Strategy: {
            /** @enum {string} */
            kind: "free" | "surface-guided" | "wall-guided" | "edge-pull" | "scoop";
            /** @description Filled with the usual steps of the kind when empty */
            steps?: components["schemas"]["Step"][];
        };
        StripsFollowed: {
            frames?: components["schemas"]["FingerFrame"][];
            /** @enum {string} */
            kind: "frames" | "fault";
            /**
             * Format: int64
             * @description Readings that came faster than they could be told
             */
            lost?: number;
            /** @description Of a fault, which ends the stream */
            message?: string;
            /** @description All that is known but the frames: at first, after a rig began anew, and once a second */
            report?: components["schemas"]["FingerReport"];
        };
        Study: {
            /** @description What its trials are to settle; the usual aim, or on an edit the stored one, when left out */
            aim?: components["schemas"]["Aim"];
            /** Format: int64 */
            block_size: number;
            /**
             * Format: double
             * @description Seconds for changing a hand, a setting or an item
             */
            change_s: number;
            closing_levels: number[];
            /** Format: date-time */
            readonly created: string;
            hands: string[];
            id?: string;
            /** @description True for demonstration data that no bench ever saw */
            readonly invented: boolean;
            items: string[];
            line_error: components["schemas"]["LineError"];
            name: string;
            note?: string;
            offset: components["schemas"]["OffsetPlan"];
            orientations: components["schemas"]["OrientationPlan"];
            question: string;
            reference: components["schemas"]["Reference"];
            /**
             * Format: int64
             * @description Reference trials at each block's start, and as many at its end
             */
            references: number;
            /** Format: int64 */
            replicates: number;
            /**
             * Format: int64
             * @description Counts edits from 1; the ETag
             */
            readonly revision: number;
            /** @description Decimal unsigned 64-bit number; drawn when empty */
            seed: string;
            settings: string[];
            /** @enum {string} */
            readonly state?: "draft" | "planned" | "running" | "finished";
            strategies: components["schemas"]["Strategy"][];
            /**
             * Format: double
             * @description Success asked for, 0 to 1
             */
            target: number;
            /**
             * Format: double
             * @description Seconds for one trial with its reset
             */
            trial_s: number;
            /** Format: date-time */
            readonly updated: string;
        };
        StudyRow: {
            /** Format: date-time */
            readonly created: string;
            /**
             * Format: int64
             * @description Planned runs carried out
             */
            done: number;
            /** Format: int64 */
            held: number;
            id: string;
            /** @description True for demonstration data that no bench ever saw */
            readonly invented: boolean;
            name: string;
            /**
             * Format: int64
             * @description Planned runs
             */
            planned: number;
            /**
             * Format: int64
             * @description Counts edits from 1; the ETag
             */
            readonly revision: number;
            state: string;
            /**
             * Format: int64
             * @description Trials that count
             */
            trials: number;
            /** Format: date-time */
            readonly updated: string;
        };
        ToJudge: {
            /**
             * Format: int64
             * @description All that the judge has not judged
             */
            left: number;
            trials: components["schemas"]["BlindTrial"][];
        };
        Todo: {
            card?: string;
            detail?: string;
            /** @enum {string} */
            kind: "add-hand" | "add-item" | "add-setting" | "add-study" | "plan" | "run" | "inspect" | "map" | "choose" | "card";
            study?: string;
            text: string;
        };
        Tolerance: {
            /**
             * Format: double
             * @description Closing command, 0 to 1
             */
            closing: number;
            condition: components["schemas"]["Condition"];
            /** @description Largest tolerated placement error by orientation error */
            frontier: components["schemas"]["ToleranceCorner"][];
            invented: boolean;
            /** @description At the line's placement error */
            largest_angle_deg: components["schemas"]["ToleranceLimit"];
            /** @description Of the line's errors together */
            largest_multiple: components["schemas"]["ToleranceLimit"];
            /** @description At the line's orientation error */
            largest_position_mm: components["schemas"]["ToleranceLimit"];
            line_error: components["schemas"]["LineError"];
            /** Format: int64 */
            mark: number;
            /** @description Where the hand is sent */
            orientation: components["schemas"]["Orientation"];
            sentence: string;
            /** @description Under the line's errors */
            stated: components["schemas"]["ToleranceValue"];
            surface: components["schemas"]["ToleranceSurface"];
            /** Format: double */
            target: number;
            /** @description The line's errors are tolerated with 95 % probability */
            tolerated: boolean;
            warnings: string[];
        };
        ToleranceCorner: {
            /** Format: double */
            angle_deg: number;
            /** @enum {string} */
            ends_by: "target" | "trials" | "range" | "none";
            /** Format: double */
            position_mm: number;
        };
        ToleranceLimit: {
            /**
             * @description target: success falls below it; trials: nothing was tried beyond; range: nothing larger was looked at; none: not tolerated at all
             * @enum {string}
             */
            ends_by: "target" | "trials" | "range" | "none";
            /** Format: double */
            largest: number;
        };
        ToleranceSurface: {
            angles_deg: number[];
            p: number[];
            p_high: number[];
            p_low: number[];
            p_target: number[];
            positions_mm: number[];
            untried_share: number[];
        };
        ToleranceValue: {
            /**
             * Format: double
             * @description Root mean square turn
             */
            angle_deg: number;
            /** Format: double */
            p: number;
            /**
             * Format: double
             * @description 95 % quantile
             */
            p_high: number;
            /**
             * Format: double
             * @description 5 % quantile
             */
            p_low: number;
            /**
             * Format: double
             * @description Probability that success reaches the target, poses never tried counted as failures
             */
            p_target: number;
            /**
             * Format: double
             * @description Standard deviation along each axis
             */
            position_mm: number;
            /**
             * Format: double
             * @description Share of the errors that lead to poses never tried
             */
            untried_share: number;
        };
        TouchAnswer: {
            /** Format: double */
            distance: number;
            /** @description touch, lost or fault */
            kind: string;
            /** Format: double */
            latency_ms: number;
            /** Format: int64 */
            lost_samples: number;
            message?: string;
            /** Format: double */
            onset_s: number;
            /**
             * Format: double
             * @description Standard deviation of the place, by which the interval was made
             */
            position_error_mm?: number;
            /** Format: double */
            position_high_mm?: number;
            /** Format: double */
            position_low_mm?: number;
            /** Format: double */
            position_mm?: number;
            /** @description In the order of the model's zones; none without a model */
            probabilities?: number[];
            /**
             * Format: int64
             * @description How much was asked about
             */
            samples: number;
            /**
             * Format: double
             * @description Where what was asked about begins
             */
            start_s: number;
            struck_again: boolean;
            unsure: boolean;
            zone?: string;
        };
        TouchChange: {
            /** Format: int64 */
            clips: number;
            /** @description Share of zones right */
            heard?: components["schemas"]["TouchInterval"];
            /** @description Mean absolute error */
            heard_mm?: components["schemas"]["TouchInterval"];
            level: string;
            unheard?: components["schemas"]["TouchInterval"];
            unheard_mm?: components["schemas"]["TouchInterval"];
            /** @enum {string} */
            what: "object" | "pressure_kpa" | "day";
            /** @description Why there is nothing to compare */
            why?: string;
        };
        TouchClip: {
            /** Format: date-time */
            at: string;
            by: string;
            /** Format: int64 */
            id: number;
            invented: boolean;
            /**
             * Format: int64
             * @description Its number; later labels of the lab have larger ones
             */
            label: number;
            /** @description Not to be learnt from */
            leave_out: boolean;
            note: string;
            object: string;
            /**
             * Format: double
             * @description Along the finger, from its root
             */
            position_mm?: number;
            /** Format: double */
            pressure_kPa?: number;
            /** Format: int64 */
            rate_hz: number;
            /** Format: date-time */
            recorded: string;
            /** @description SHA-256 of the WAV file; read it at /recordings */
            recording: string;
            /** Format: int64 */
            samples: number;
            session: string;
            /**
             * Format: double
             * @description Sound over the noise that it was recorded with; left out: not known
             */
            snr_dB?: number;
            specimen: string;
            zone: string;
        };
        TouchEvidence: {
            /** @description When the object, the pressure, the day or mounting is a new one */
            changes: components["schemas"]["TouchChange"][];
            /** Format: int64 */
            clips: number;
            /** Format: int64 */
            folds: number;
            /** Format: int64 */
            groups: number;
            /** @description What no part shares with its training: specimen or session */
            held_out: string;
            /** @description Left out where it is known of no clip */
            own_snr?: components["schemas"]["TouchOwnSNR"];
            positions?: components["schemas"]["TouchPositionEvidence"];
            /** @description Held-out clips with noise laid over them; empty for a model of an earlier version */
            under_noise: components["schemas"]["TouchNoiseScore"][];
            zones?: components["schemas"]["TouchZoneEvidence"];
        };
        TouchFiles: {
            calibration: string;
            places: string;
            record: string;
        };
        TouchInterval: {
            /** Format: double */
            high: number;
            /** Format: double */
            low: number;
            /** Format: double */
            mean: number;
        };
        TouchLabel: {
            /** Format: date-time */
            at: string;
            by: string;
            /**
             * Format: int64
             * @description Its number; later labels of the lab have larger ones
             */
            label: number;
            /** @description Not to be learnt from */
            leave_out: boolean;
            /**
             * Format: double
             * @description Along the finger, from its root
             */
            position_mm?: number;
            zone: string;
        };
        TouchModel: {
            /** Format: int64 */
            clips: number;
            digest: string;
            evidence: components["schemas"]["TouchEvidence"];
            /** Format: int64 */
            id: number;
            invented: boolean;
            /** Format: double */
            level: number;
            /** Format: int64 */
            rate_hz: number;
            recording: string;
            seed: string;
            /** Format: date-time */
            trained_at: string;
            /** Format: double */
            unlike_beyond: number;
            zones: string[];
        };
        TouchNoiseScore: {
            /** Format: int64 */
            clips: number;
            /** @description Mean absolute error */
            off_mm?: components["schemas"]["TouchInterval"];
            /** @description Share of zones */
            right?: components["schemas"]["TouchInterval"];
            /**
             * Format: double
             * @description Power of the sound over that of the noise laid over it
             */
            snr_db: number;
            /** @description Share called unlike all that was learnt */
            unsure: components["schemas"]["TouchInterval"];
        };
        TouchOwnSNR: {
            /**
             * Format: int64
             * @description Of which it is known
             */
            clips: number;
            /** Format: double */
            median_db: number;
        };
        TouchPicture: {
            /** Format: int64 */
            clip: number;
            /**
             * Format: double
             * @description Middle of the first spectrum's window
             */
            first_s: number;
            /** @description Greatest */
            high: number[];
            /** @description By spectrum and frequency; a full-scale tone has 0 dB, nothing is told below 100 dB under the strongest */
            levels_dB: number[][];
            /** @description Least sample of each of equal parts of the span; full scale is 1 */
            low: number[];
            /** Format: double */
            span_s: number;
            /**
             * Format: double
             * @description Between neighbouring frequencies, the first of which is 0
             */
            step_hz: number;
            /**
             * Format: double
             * @description From spectrum to spectrum
             */
            step_s: number;
            /** Format: double */
            window_ms: number;
        };
        TouchPositionEvidence: {
            /** Format: double */
            bias_mm: number;
            /**
             * Format: double
             * @description Share of held-out clips within the intervals before they were widened
             */
            covered: number;
            grouped_mm: components["schemas"]["TouchInterval"];
            guess_mm: components["schemas"]["TouchInterval"];
            /** Format: double */
            p90_mm: number;
            random_split_mm: components["schemas"]["TouchInterval"];
            /**
             * Format: double
             * @description By which intervals were widened for that
             */
            spread: number;
        };
        TouchProgress: {
            /** Format: int64 */
            done: number;
            /** Format: int64 */
            of: number;
            stage: string;
        };
        TouchStart: {
            /** @description The same seed gives the same model; 1 when left out */
            seed?: string;
        };
        TouchState: {
            /** @description Those whose newest label is later than since, oldest clip first */
            clips: components["schemas"]["TouchClip"][];
            failed?: string;
            model?: components["schemas"]["TouchModel"];
            /**
             * Format: int64
             * @description Number of the newest label of the hand's clips; ask for what comes after it
             */
            newest: number;
            running?: components["schemas"]["TouchProgress"];
            /**
             * Format: int64
             * @description Number of a label; 0: all clips are told, and what was known before counts no more
             */
            since: number;
            /** @description Clips or labels changed since it was trained */
            stale: boolean;
        };
        TouchZoneEvidence: {
            /** @description Touched by told, held out by group */
            confusion: number[][];
            grouped: components["schemas"]["TouchZoneScore"];
            guess: components["schemas"]["TouchZoneScore"];
            method: string;
            /** @description Split by clip: flatters */
            random_split: components["schemas"]["TouchZoneScore"];
            /**
             * Format: double
             * @description And after
             */
            stated: number;
            /**
             * Format: double
             * @description Mean probability of the likeliest zone of held-out clips, before
             */
            stated_before: number;
            /**
             * Format: double
             * @description By which probabilities were softened to fit held-out groups; 0: a model of an earlier version, not softened
             */
            temperature: number;
        };
        TouchZoneScore: {
            accuracy: components["schemas"]["TouchInterval"];
            /** Format: double */
            kappa: number;
            /** Format: double */
            macro_f1: number;
            /** Format: double */
            mcc: number;
        };
        Trial: {
            /** Format: int64 */
            block?: number;
            /** Format: double */
            closing: number;
            /** Format: int64 */
            corrects?: number;
            /** @description As it counts now, with inspections */
            counted: string;
            /** Format: double */
            duration_s?: number;
            /**
             * Format: int64
             * @description How many entries the history has
             */
            entries: number;
            hand: string;
            /** Format: int64 */
            id: number;
            /** @description Newest finding */
            inspection?: string;
            item: string;
            key: string;
            measured?: components["schemas"]["Orientation"];
            note?: string;
            /** Format: double */
            offset_x_mm: number;
            /** Format: double */
            offset_y_mm: number;
            /** Format: double */
            offset_z_mm: number;
            operator?: string;
            /** Format: int64 */
            order?: number;
            orientation: components["schemas"]["Orientation"];
            /** @description As entered */
            outcome: string;
            /** Format: double */
            peak_force_N?: number;
            /** @description Proof run that it belongs to */
            proof?: string;
            /** Format: date-time */
            recorded_at: string;
            recordings?: components["schemas"]["Recording"][];
            reference: boolean;
            /** @description The key was known: nothing new was stored */
            repeated?: boolean;
            /**
             * Format: int64
             * @description First entry of the history
             */
            root: number;
            setting: string;
            /** Format: date-time */
            started_at?: string;
            strategy: string;
            void_reason?: string;
        };
        TrialList: {
            /**
             * Format: int64
             * @description How many trials match, without the limit
             */
            total: number;
            trials: components["schemas"]["Trial"][];
        };
        Turning: {
            /** @description Every turn about the vertical leaves it the same */
            axial: boolean;
            /**
             * Format: int64
             * @description 1/fold of a turn leaves it the same; 1: none
             */
            fold: number;
            /** @description The vertical x-z plane is a mirror plane */
            mirror: boolean;
        };
        TwoAgree: {
            /**
             * Format: double
             * @description Gwet's coefficient
             */
            ac1: number;
            /**
             * Format: double
             * @description Share judged alike
             */
            agreed: number;
            /**
             * Format: double
             * @description Cohen's; left out where only one outcome was given
             */
            kappa?: number;
            /** Format: double */
            kappa_high?: number;
            /** Format: double */
            kappa_low?: number;
            /**
             * Format: double
             * @description Kappa adjusted for prevalence and bias
             */
            pabak: number;
            /** @description Agreement is high and kappa low because one outcome is rare */
            trap: boolean;
        };
        ValueRow: {
            /** @description The hand earns more at any success */
            always_better: boolean;
            /** @description Strategy of each attempt */
            attempts: string[];
            /** Format: double */
            attempts_per_item: number;
            /**
             * Format: double
             * @description Success of a first attempt from which on the hand earns what a person would; left out: there is none
             */
            break_even_success?: number;
            chain: components["schemas"]["ChainStep"][];
            condition: components["schemas"]["Condition"];
            /**
             * @description What becomes of an item that the hand gives up
             * @enum {string}
             */
            end: "person" | "leave";
            /** @description Picks and items that a person took over */
            good_items_per_hour: components["schemas"]["Estimate"];
            /** Format: double */
            item_damaged: number;
            /**
             * Format: double
             * @description Probability that an item is held in the end, at the posterior means
             */
            item_held: number;
            /** Format: double */
            item_left: number;
            /**
             * Format: double
             * @description Expected money of an item, without the costs of the hour
             */
            item_money: number;
            /** Format: double */
            item_person: number;
            /**
             * Format: double
             * @description Expected time of the line for an item, s
             */
            item_s: number;
            /** @description Handled, whatever their end */
            items_per_hour: components["schemas"]["Estimate"];
            net_per_hour: components["schemas"]["Estimate"];
            /** @description Held by the hand and undamaged */
            picks_per_hour: components["schemas"]["Estimate"];
            /** Format: double */
            probability_better_than_person: number;
            /** Format: double */
            probability_net_above_0: number;
            /** @description Widest first */
            sensitivity: components["schemas"]["Bar"][];
            /** @description Of a first attempt, over the best region, blurred by the line's error */
            success: components["schemas"]["Estimate"];
        };
        Withdrawal: {
            by: string;
            reason: string;
        };
    };
    responses: never;
    parameters: never;
    requestBodies: never;
    headers: never;
    pathItems: never;
}
export type $defs = Record<string, never>;
export interface operations {
    "list-bench-tests": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["BenchTest"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-cards": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Card"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "release-card": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["ReleaseCard"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Card"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-card": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                card: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Card"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-card-document": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                card: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-card-pdf": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                card: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/pdf": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "withdraw-card": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                card: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Withdrawal"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Card"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "preview-orientations": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["PreviewQuestion"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["OrientationPreview"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "sample-size": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["SampleSizeQuestion"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["SampleSize"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-hand-economics": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description As in the list */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["HandEconomics"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "edit-hand-economics": {
        parameters: {
            query?: never;
            header?: {
                /** @description The ETag of what you edit */
                "If-Match"?: string;
            };
            path: {
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["HandEconomics"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["HandEconomics"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-item-economics": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description As in the list */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ItemEconomics"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "edit-item-economics": {
        parameters: {
            query?: never;
            header?: {
                /** @description The ETag of what you edit */
                "If-Match"?: string;
            };
            path: {
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["ItemEconomics"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ItemEconomics"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-line-economics": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description As in the list */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["LineEconomics"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "edit-line-economics": {
        parameters: {
            query?: never;
            header?: {
                /** @description The ETag of what you edit */
                "If-Match"?: string;
            };
            path: {
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["LineEconomics"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["LineEconomics"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "watch-events": {
        parameters: {
            query?: {
                /** @description Only this study's events, and those of the catalogue and of cards; empty: all */
                study?: string;
            };
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description An endless stream. Event change carries a Change as its data; ask again for what you show. */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "text/event-stream": components["schemas"]["Change"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-hand-descriptions": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["HandDescription"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-hand-closing": {
        parameters: {
            query?: {
                /** @description What stands fixed on the palm's axis; a plate is 4 mm thick and stands on edge, across x */
                item?: "none" | "sphere" | "box" | "plate";
                /** @description Diameter of the sphere, edge of box and plate */
                size_mm?: number;
                /** @description Of the item's middle from the palm; when left out, as deep as it goes but not deeper than 0.7 of the way to the tips */
                distance_mm?: number;
                /** @description Coefficient between skin and item; the skin's own when left out */
                friction?: number;
                steps?: number;
            };
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["HandClosing"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-hand-grip": {
        parameters: {
            query?: {
                item?: "sphere" | "box" | "plate";
                smallest_mm?: number;
                largest_mm?: number;
                sizes?: number;
                /** @description Coefficient between skin and item; the skin's own when left out */
                friction?: number;
                steps?: number;
            };
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["HandGrip"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-hand-sheet": {
        parameters: {
            query: {
                /** @description IDs, with commas between */
                hands: string[];
                /** @description Of the intervals */
                level?: number;
            };
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["HandSheet"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-hand-sheet-pdf": {
        parameters: {
            query: {
                /** @description IDs, with commas between */
                hands: string[];
                /** @description Of the intervals */
                level?: number;
            };
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/pdf": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-hands": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Hand"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "create-hand": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Hand"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Hand"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-bench-records": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["BenchRecord"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "add-bench-record": {
        parameters: {
            query?: {
                /** @description Only check it, and say what it yields */
                dry_run?: boolean;
            };
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["BenchRequest"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["BenchRecord"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "feed-hand-description": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["HandFeedStart"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["HandFeed"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-bench-table": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
                record: number;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "text/csv": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "void-bench-record": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
                record: number;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Withdrawal"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["BenchRecord"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-feel": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["FeelInfo"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "start-feel": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["FeelStart"];
            };
        };
        responses: {
            /** @description Accepted */
            202: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["FeelInfo"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-invented-guided": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["FeelTable"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-feel-strategy": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/yaml": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "stop-feel": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description No Content */
            204: {
                headers: {
                    [name: string]: unknown;
                };
                content?: never;
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "follow-pads": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        /** @description As the first message. */
        requestBody?: {
            content: {
                "application/json": components["schemas"]["FollowStart"];
            };
        };
        responses: {
            /** @description Pictures as readings come. */
            101: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["PadsFollowed"];
                };
            };
        };
    };
    "post-readings": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
                sensor: "pads" | "strips";
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["SensorReadings"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ReadingsTaken"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "follow-strips": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        /** @description As the first message. */
        requestBody?: {
            content: {
                "application/json": components["schemas"]["FollowStart"];
            };
        };
        responses: {
            /** @description Pictures as readings come. */
            101: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["StripsFollowed"];
                };
            };
        };
    };
    "get-touch-lab": {
        parameters: {
            query?: {
                /** @description The newest that is known: only clips that were added or labelled after it are told. All when it is left out, or the lab has none so new */
                after?: number;
            };
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TouchState"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "add-touch-clip": {
        parameters: {
            query?: {
                /** @description New for each clip, repeated when a request is sent again; a digest of the sound when left out */
                key?: string;
                name?: string;
                zone?: string;
                position_mm?: number;
                /** @description Day or mounting */
                session?: string;
                /** @description Which piece of the hand's kind */
                specimen?: string;
                /** @description What it was touched by */
                object?: string;
                pressure_kPa?: number;
                /** @description Sound over the noise that it was recorded with, where it is known */
                snr_dB?: number;
                note?: string;
                by?: string;
            };
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "audio/wav": string;
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TouchClip"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-touch-labels": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
                clip: number;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TouchLabel"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-touch-picture": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
                clip: number;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TouchPicture"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "label-touch-clips": {
        parameters: {
            query?: {
                /** @description The newest that is known: only clips that were added or labelled after it are told. All when it is left out, or the lab has none so new */
                after?: number;
            };
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["NewTouchLabel"][];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TouchState"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "listen-to-touches": {
        parameters: {
            query: {
                rate_hz: number;
                /** @description s16, s24, s32 or f32 (when left out), little-endian */
                format?: string;
            };
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description Touches as they come. While nothing was learnt it is only said that something touched. */
            101: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TouchAnswer"];
                };
            };
        };
    };
    "get-touch-model": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "start-touch-training": {
        parameters: {
            query?: {
                /** @description The newest that is known: only clips that were added or labelled after it are told. All when it is left out, or the lab has none so new */
                after?: number;
            };
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["TouchStart"];
            };
        };
        responses: {
            /** @description Accepted */
            202: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TouchState"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "stop-touch-training": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                hand: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description No Content */
            204: {
                headers: {
                    [name: string]: unknown;
                };
                content?: never;
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-hand": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description As in the list */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Hand"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "edit-hand": {
        parameters: {
            query?: never;
            header?: {
                /** @description The ETag of what you edit */
                "If-Match"?: string;
            };
            path: {
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Hand"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Hand"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-hand-set": {
        parameters: {
            query?: {
                /** @description Keep at most so many */
                max_hands?: number;
                /** @description With which an automated item must meet its target, 0.5 or more; 0 or left out: the strictest that an item's figures ask for */
                confidence?: number;
                /** @description Further trials of a pair whose worth is told */
                trials?: number;
            };
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["HandSet"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-invented-knock": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                number: number;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["InventedKnock"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-items": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Item"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "create-item": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Item"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Item"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-item": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description As in the list */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Item"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "edit-item": {
        parameters: {
            query?: never;
            header?: {
                /** @description The ETag of what you edit */
                "If-Match"?: string;
            };
            path: {
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Item"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Item"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-lab": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Lab"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "store-recording": {
        parameters: {
            query?: {
                name?: string;
            };
            header?: {
                "Content-Type"?: string;
            };
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/octet-stream": string;
                "image/jpeg": string;
                "image/png": string;
                "video/mp4": string;
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Recording"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-recording": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                sha256: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/octet-stream": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-card-schema": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/schema+json": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-settings": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Setting"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "create-setting": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Setting"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Setting"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-setting": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description As in the list */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Setting"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "edit-setting": {
        parameters: {
            query?: never;
            header?: {
                /** @description The ETag of what you edit */
                "If-Match"?: string;
            };
            path: {
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Setting"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Setting"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-studies": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["StudyRow"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "create-study": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Study"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Study"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-study": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Study"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "edit-study": {
        parameters: {
            query?: never;
            header?: {
                /** @description The ETag of what you edit */
                "If-Match"?: string;
            };
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Study"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Study"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-agreement": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Agreement"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-choice": {
        parameters: {
            query?: {
                /** @description Empty: all */
                hand?: string;
                /** @description Empty: all */
                item?: string;
                /** @description Empty: all */
                setting?: string;
                /** @description Empty: all */
                strategy?: string;
                /** @description The region must tolerate at least this turn; 0: no demand */
                min_radius_deg?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Choice"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-comparison": {
        parameters: {
            query: {
                /** @description What is compared */
                by: "strategy" | "hand" | "item" | "setting";
                a: string;
                b: string;
                /** @description Only with this hand; empty: all */
                hand?: string;
                /** @description Only this item; empty: all */
                item?: string;
                /** @description Only this setting; empty: all */
                setting?: string;
                /** @description Only by this strategy; empty: all */
                strategy?: string;
                /** @description What counts as one observation; left out: what the plan asks for */
                unit?: "whole plots" | "blocks" | "pairs" | "trials";
                /** @description Margin of no worse, as a share of 1 */
                no_worse_by?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Comparison"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-comparison-maps": {
        parameters: {
            query: {
                /** @description What is compared */
                by: "strategy" | "hand" | "item" | "setting";
                a: string;
                b: string;
                /** @description Only with this hand; empty: all */
                hand?: string;
                /** @description Only this item; empty: all */
                item?: string;
                /** @description Only this setting; empty: all */
                setting?: string;
                /** @description Only by this strategy; empty: all */
                strategy?: string;
                /** @description Root mean square turn between asked and actual hand orientation; the study's line error when left out */
                blur_deg?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["MapsComparison"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-conditions": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Condition"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-factors": {
        parameters: {
            query?: {
                /** @description Only with this hand; empty: all */
                hand?: string;
                /** @description Only this item; empty: all */
                item?: string;
                /** @description Only this setting; empty: all */
                setting?: string;
                /** @description Only by this strategy; empty: all */
                strategy?: string;
                /** @description Also by size (geometric mean of the extents) and mass of the items */
                item_features?: boolean;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Factors"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-families": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description Any item of the catalogue; the study's item with fewest trials when left out */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Families"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-family-scores": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description Any item of the catalogue; the study's item with fewest trials when left out */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["FamilyScores"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "finish-study": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Study"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "import-trials": {
        parameters: {
            query?: {
                /** @description File name, for messages */
                name?: string;
                /** @description Check only, store nothing */
                dry_run?: boolean;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/octet-stream": string;
                "application/vnd.apache.parquet": string;
                "text/csv": string;
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ImportResult"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "log-inspection": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Inspection"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Inspection"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-judgements": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Judgement"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "log-judgement": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Judgement"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Judgement"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-map": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
                /** @description Root mean square turn between asked and actual hand orientation; the study's line error when left out */
                blur_deg?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["MapInfo"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-map-csv": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
                /** @description Root mean square turn between asked and actual hand orientation; the study's line error when left out */
                blur_deg?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "text/csv": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-map-parquet": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
                /** @description Root mean square turn between asked and actual hand orientation; the study's line error when left out */
                blur_deg?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/vnd.apache.parquet": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-map-png": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
                /** @description Root mean square turn between asked and actual hand orientation; the study's line error when left out */
                blur_deg?: number;
                /** @description Heading drawn, azimuth + roll; 0 when left out */
                heading_deg?: number;
                /** @description One heading, the mean over headings, or the best over headings */
                view?: "heading" | "mean" | "best";
                /** @description Hatch where the interval is wider than this */
                threshold?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "image/png": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-map-svg": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
                /** @description Root mean square turn between asked and actual hand orientation; the study's line error when left out */
                blur_deg?: number;
                /** @description Heading drawn, azimuth + roll; 0 when left out */
                heading_deg?: number;
                /** @description One heading, the mean over headings, or the best over headings */
                view?: "heading" | "mean" | "best";
                /** @description Hatch where the interval is wider than this */
                threshold?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "image/svg+xml": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-map-point": {
        parameters: {
            query: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
                /** @description Root mean square turn between asked and actual hand orientation; the study's line error when left out */
                blur_deg?: number;
                qw: number;
                qx: number;
                qy: number;
                qz: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["MapPoint"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-map-marks": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
                /** @description Root mean square turn between asked and actual hand orientation; the study's line error when left out */
                blur_deg?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["MapMarks"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-map-raster": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
                /** @description Root mean square turn between asked and actual hand orientation; the study's line error when left out */
                blur_deg?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/octet-stream": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-model": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ModelInfo"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "start-model-fit": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["ModelStart"];
            };
        };
        responses: {
            /** @description Accepted */
            202: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ModelInfo"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "stop-model-fit": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description No Content */
            204: {
                headers: {
                    [name: string]: unknown;
                };
                content?: never;
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "use-model-fit": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["ModelUse"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ModelInfo"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "next-run": {
        parameters: {
            query: {
                /** @description Who asks: a rig's or a page's name, the same each time */
                holder: string;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["NextRun"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "give-back-run": {
        parameters: {
            query: {
                /** @description Who asks: a rig's or a page's name, the same each time */
                holder: string;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description No Content */
            204: {
                headers: {
                    [name: string]: unknown;
                };
                content?: never;
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-next-trials": {
        parameters: {
            query?: {
                /** @description How many to propose; the aim's batch when left out */
                trials?: number;
                /** @description Also say what choosing would have lost after fewer trials; takes longer */
                history?: boolean;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["NextTrials"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "add-next-trials": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["ExtendPlan"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["NextTrials"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-plan": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Plan"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "draw-plan": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["PlanSummary"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-plan-csv": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "text/csv": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-progress": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Progress"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "design-proof": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["ProofQuestion"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ProofPlan"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-proof-subject": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
                /** @description The region must tolerate at least this turn; 0: no demand */
                min_radius_deg?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ProofSubject"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-proofs": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Proof"][];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "sign-proof": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["SignProof"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Proof"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-proof": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                study: string;
                proof: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Proof"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "give-up-proof": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                study: string;
                proof: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Withdrawal"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Proof"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "log-proof-trial": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                study: string;
                proof: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["NewProofTrial"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Proof"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "reopen-study": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    ETag?: string;
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Study"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-run-sheet": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The study's ID */
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/pdf": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-tolerance": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                hand?: string;
                /** @description May be left out when the study has one */
                item?: string;
                /** @description May be left out when the study has one */
                setting?: string;
                /** @description May be left out when the study has one */
                strategy?: string;
                /** @description Success asked for; the study's when left out */
                target?: number;
                /** @description Placement error, standard deviation along each axis; the line's when left out */
                position_mm?: number;
                /** @description Orientation error, root mean square; the line's when left out */
                angle_deg?: number;
                /** @description With azimuth_deg and roll_deg: where the hand is sent; the middle of the best region when left out */
                tilt_deg?: number;
                azimuth_deg?: number;
                roll_deg?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Tolerance"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-trials": {
        parameters: {
            query?: {
                hand?: string;
                item?: string;
                setting?: string;
                strategy?: string;
                /** @description 0: all blocks */
                block?: number;
                /** @description true: only reference trials; false: only others */
                reference?: boolean;
                /** @description Only trials whose first entry comes after this number */
                after?: number;
                /** @description 0: all */
                limit?: number;
                /** @description Newest first */
                newest?: boolean;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TrialList"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "log-trial": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["NewTrial"];
            };
        };
        responses: {
            /** @description Created */
            201: {
                headers: {
                    Location?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Trial"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-trials-csv": {
        parameters: {
            query?: {
                hand?: string;
                item?: string;
                setting?: string;
                strategy?: string;
                /** @description 0: all blocks */
                block?: number;
                /** @description true: only reference trials; false: only others */
                reference?: boolean;
                /** @description Only trials whose first entry comes after this number */
                after?: number;
                /** @description 0: all */
                limit?: number;
                /** @description Newest first */
                newest?: boolean;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "text/csv": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-trials-parquet": {
        parameters: {
            query?: {
                hand?: string;
                item?: string;
                setting?: string;
                strategy?: string;
                /** @description 0: all blocks */
                block?: number;
                /** @description true: only reference trials; false: only others */
                reference?: boolean;
                /** @description Only trials whose first entry comes after this number */
                after?: number;
                /** @description 0: all */
                limit?: number;
                /** @description Newest first */
                newest?: boolean;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description The file */
            200: {
                headers: {
                    "Content-Disposition"?: string;
                    "Content-Encoding"?: string;
                    "Content-Type"?: string;
                    ETag?: string;
                    Vary?: string;
                    [name: string]: unknown;
                };
                content: {
                    "application/vnd.apache.parquet": string;
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-trial": {
        parameters: {
            query?: never;
            header?: never;
            path: {
                study: string;
                /** @description Number of any entry of the trial */
                trial: number;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["History"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "list-unjudged": {
        parameters: {
            query: {
                /** @description Who judges */
                judge: string;
                /** @description 0: all */
                limit?: number;
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ToJudge"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-value": {
        parameters: {
            query?: {
                /** @description May be left out when the study has one */
                item?: string;
                /** @description What follows each failed attempt, with commas between; left out: as the item's figures say */
                retry?: ("same" | "next" | "person" | "leave")[];
            };
            header?: never;
            path: {
                study: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ItemValue"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "read-pads": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["TouchFiles"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["PadReport"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-invented-pads": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TouchFiles"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "read-strips": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["TouchFiles"];
            };
        };
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["FingerReport"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
    "get-invented-strips": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            /** @description OK */
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TouchFiles"];
                };
            };
            /** @description Error */
            default: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/problem+json": components["schemas"]["Problem"];
                };
            };
        };
    };
}

//! The rules of chains and what their inputs are called, as lists of words without sentences.

/// An enum whose variants each have a word.
macro_rules! words {
    ($(#[$about:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $word:literal,)* }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum $name {
            $($(#[$doc])* $variant,)*
        }

        impl $name {
            /// All of them.
            pub const ALL: &[Self] = &[$(Self::$variant,)*];

            /// Its stable word.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$variant => $word,)*
                }
            }
        }
    };
}

words! {
    /// What a step does with its inputs.
    WhyRule {
        /// Start of all: what customers ordered.
        Orders = "orders",
        /// Orders and other wants, less what is in stock.
        NetPieces = "net-pieces",
        /// Good pieces in whole packs.
        WholePacks = "whole-packs",
        /// Good pieces with a fixed number of overs.
        PlusOvers = "plus-overs",
        /// Good pieces through the rejects.
        StartOfGood = "start-of-good",
        /// Net pieces through the rejects, in whole trays.
        StartOfTrays = "start-of-trays",
        /// Net pieces through the rejects.
        StartOfNet = "start-of-net",
        /// Start pieces that a person set.
        StartByHand = "start-by-hand",
        /// Start pieces on trays.
        Trays = "trays",
        /// What products and other formulas ask of a batch.
        Asked = "asked",
        /// A made lot goes first.
        Spared = "spared",
        /// What made lots leave to be made.
        StillToMake = "still-to-make",
        /// One loss in its place.
        Loss = "loss",
        /// Whole blocks of a laminated dough.
        WholeBlocks = "whole-blocks",
        /// Whole steps of a batch formula.
        WholeSteps = "whole-steps",
        /// What a build keeps back for the next.
        Seed = "seed",
        /// What released loads give.
        Released = "released",
        /// What released loads leave to be made.
        Left = "left",
        /// Why nothing is left to be mixed.
        NoMoreLoads = "no-more-loads",
        /// Loads that a person set.
        LoadsByHand = "loads-by-hand",
        /// As few loads as the mixer allows.
        FewestLoads = "fewest-loads",
        /// A load that a person raised to the least that the mixer takes.
        Raised = "raised",
        /// The mass of one load.
        LoadMass = "load-mass",
        /// A line of a released load.
        KeptAsReleased = "kept-as-released",
        /// A line that is counted.
        Counted = "counted",
        /// A line by its parts.
        Share = "share",
        /// A line as its scale shows it.
        ToDivision = "to-division",
        /// The same where the largest flour gives way.
        ToDivisionMoved = "to-division-moved",
        /// A line of all loads of one size.
        Issued = "issued",
        /// A topping of all pieces.
        Topping = "topping",
        /// What several draws take together.
        AllDrawn = "all-drawn",
        /// What one draw takes.
        Drawn = "drawn",
        /// What earlier fruits leave to be taken.
        StillToTake = "still-to-take",
        /// Whole fruits for one output.
        FruitsToCut = "fruits-to-cut",
        /// Whole fruits for all outputs.
        WholeFruits = "whole-fruits",
    }
}

words! {
    /// What an input is called that names nothing of the records.
    WhyWord {
        /// Pieces that customers ordered.
        Ordered = "ordered",
        /// Pieces of the counter par.
        Par = "par",
        /// Pieces of a forecast.
        Forecast = "forecast",
        /// Pieces that are there already.
        FinishedStock = "finished-stock",
        /// Pieces for tests.
        TestPieces = "test-pieces",
        /// What would be without a hand.
        Computed = "computed",
        /// Net pieces.
        Net = "net",
        /// Pieces in a pack.
        Pack = "pack",
        /// Pieces over.
        Overs = "overs",
        /// Good pieces.
        Good = "good",
        /// Share of pieces that are rejected.
        Rejects = "rejects",
        /// Pieces on a tray, where trays are full.
        Tray = "tray",
        /// Pieces that are begun.
        StartPieces = "start-pieces",
        /// Pieces on a tray.
        PiecesOnTray = "pieces-on-tray",
        /// Trays that are begun.
        Trays = "trays",
        /// All that is asked of a batch.
        Asked = "asked",
        /// Mass that a made lot gives.
        TakenOfLot = "taken-of-lot",
        /// Share that is left after the losses of taking.
        LeftOfGram = "left-of-gram",
        /// What a made lot spares.
        SparedByLot = "spared-by-lot",
        /// What stood there before a loss.
        Before = "before",
        /// Mass of the laminated dough.
        LaminatedDough = "laminated-dough",
        /// Fat as parts of the base dough.
        FatOverDough = "fat-over-dough",
        /// Mass of one sheet of fat.
        OneSheet = "one-sheet",
        /// Blocks that are made together.
        BlocksTogether = "blocks-together",
        /// Batches of a batch formula.
        Batches = "batches",
        /// Smallest part of a batch.
        SmallestStep = "smallest-step",
        /// Mass of one batch.
        BatchInBowl = "batch-in-bowl",
        /// Mass that is used.
        ForToday = "for-today",
        /// Mass that is kept as seed.
        KeptBack = "kept-back",
        /// Mass to be made.
        ToBeMade = "to-be-made",
        /// What is released already.
        Released = "released",
        /// What is left to be mixed.
        Left = "left",
        /// Mass to be mixed.
        ToMix = "to-mix",
        /// What stays in the bowl of each load.
        ResidueOfEach = "residue-of-each",
        /// The same in short.
        Residue = "residue",
        /// Loads of a batch.
        Loads = "loads",
        /// Whole steps in one load.
        StepsInLoad = "steps-in-load",
        /// Mass of one load.
        Load = "load",
        /// Mass of a line in one batch.
        InOneBatch = "in-one-batch",
        /// Parts of a line.
        ItsParts = "its-parts",
        /// Parts of all lines.
        AllParts = "all-parts",
        /// Steps of a counted line.
        Steps = "steps",
        /// A line of one load as it is weighed.
        LoadAsWeighed = "load-as-weighed",
        /// Loads of one size.
        LoadsOfSize = "loads-of-size",
        /// An amount before a scale rounds it.
        Exact = "exact",
        /// Draws of loads that are drafts.
        Drafts = "drafts",
        /// What is weighed or counted of an item.
        Weighed = "weighed",
        /// Share that is lost at the scale.
        WeighingLoss = "weighing-loss",
        /// What earlier fruits left.
        Spare = "spare",
        /// Mass that is still to be taken of fruits.
        StillToTake = "still-to-take",
        /// Mass that one fruit gives.
        InOneFruit = "in-one-fruit",
        /// Fruits that are cut already.
        CutBefore = "cut-before",
    }
}

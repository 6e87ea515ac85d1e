// Package check sets the model beside what was published. Every row runs the
// same stepping code with the same parameter set; nothing is fitted for a row.
//
// # What it is
//
// A row names a published quantity, the band within which the model is held to
// agree, and what the model gives as 10, 50 and 90 % of an ensemble of springs
// and colonies. A row is inside when the model's median lies in the band. Runs
// over winter start on 1 October with 23,000 bees in America and 13,000 in
// Europe (log SD 0.25) and a comb side of brood, unless a row says otherwise.
//
// A row whose published value helped to choose a parameter says so in Use and
// names the parameter: it shows that the fit holds and is no evidence. Several
// rows hang on a few parameters, so even the rows called check were not seen for
// the first time when the set was chosen. A row outside its band stays outside
// and says why.
//
// # Rows that were dropped
//
// Three could not fail within the ranges of the parameters, and said nothing: the
// most used on one day of spring, at most 2.3 kg (Liebig; the model gives 1.3); over
// 1,000 cells when red maple blooms (Seeley 2019; 8,000 and more); no more brood
// with supplement where pollen is plentiful (Hoover, Ovinge & Kearns 2022; 0). The
// cold week had 16 kg as its upper end and has 4 now.
//
// # Units
//
// Each row names its own. Stores are kg of ripe honey. What a balance shows is
// stores, bee bread, brood and bees together.
//
// # What it leaves out
//
// The places where the published colonies stood are stood in for by the nearest
// reference record, or by a climate generated from monthly normals when there is
// none; a row says which. Strain, hive type and management of the published
// colonies are not known to the model.
//
// # Sources
//
// In the rows.
package check

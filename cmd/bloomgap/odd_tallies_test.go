package main

// oddTallies are tables of tallies as keepers write them.
func oddTallies() []oddRun {
	const head = "yard,tally,date,boxes,wrapped,heft,gross_kg,seams,count_temp_c,brood_frames,colonies,looked_at,confirmed\n"
	const light = "Mill,light,2027-03-18,2 deep,no,light,,5,6,1,4,,\n"
	const file = "s/tallies.csv"
	g := func(name string, f fate, rows string) oddRun { return table(name, f, file, head+rows) }
	sample := light + "Mill,fair,2027-03-18,2 deep,no,fair,,6,6,1,3,3,\n"
	return []oddRun{
		g("a tally beside colonies", right, light).like(file, head+"Mill,light,2027-03-18,2 deep,no,light,,5,6,1,4,4,\n"),
		table("a tally with few columns", right, file, "tally,date,boxes,heft,seams,count_temp_c,brood_frames,colonies\nlight,2027-03-18,2 deep,light,5,6,1,4\n").like(file, head+light),
		table("a table of tallies with headings only", right, file, head),
		table("no colony but tallies", right, file, head+light).only(file),
		g("a tally of none", right, "Mill,light,2027-03-18,2 deep,no,light,,5,6,1,0,,\n"),
		g("a number with a word", refused, "Mill,light,2027-03-18,2 deep,no,light,,5,6,1,4 hives,,\n"),
		g("a number about", refused, "Mill,light,2027-03-18,2 deep,no,light,,5,6,1,~4,,\n"),
		g("half a colony", refused, "Mill,light,2027-03-18,2 deep,no,light,,5,6,1,4.5,,\n"),
		g("no number", refused, "Mill,light,2027-03-18,2 deep,no,light,,5,6,1,,,\n"),
		g("fewer than none", refused, "Mill,light,2027-03-18,2 deep,no,light,,5,6,1,-4,,\n"),
		g("a date for a number", refused, "Mill,light,2027-03-18,2 deep,no,light,,5,6,1,46464,,\n"),
		g("more looked at than there are", refused, "Mill,light,2027-03-18,2 deep,no,light,,5,6,1,4,5,\n"),
		g("none looked at, but a heft", refused, "Mill,light,2027-03-18,2 deep,no,light,,5,6,1,4,0,\n"),
		g("none looked at in the whole yard", refused, "Mill,rest,2027-03-18,,,,,,,,4,0,\n"),
		g("others of the yard", noted, sample+"Mill,rest,2027-03-18,,,,,,,,9,0,\n").like(file, head+"Mill,light,2027-03-18,2 deep,no,light,,5,6,1,13,4,\nMill,fair,2027-03-18,2 deep,no,fair,,6,6,1,3,3,\n"),
		g("a tally named like a colony", refused, "Mill,a1,2027-03-18,2 deep,no,light,,5,6,1,4,,\n"),
		g("a tally twice on a day", refused, light+light),
		g("a tally in other letters", refused, light+"Mill,LIGHT,2027-03-18,2 deep,no,light,,5,6,1,3,,\n"),
		g("a tally made again", right, "Mill,light,2027-03-08,2 deep,no,light,,5,6,1,7,,\n"+light).like(file, head+light),
		g("tallies of another round", asked, light+"Mill,fair,2027-03-08,2 deep,no,fair,,6,6,1,3,,\n"),
		g("tallies of another round, confirmed", noted, light+"Mill,fair,2027-03-08,2 deep,no,fair,,6,6,1,3,,yes\n").unlike(),
		g("tallies of another round, of which none is left", right, light+"Mill,fair,2027-03-08,2 deep,no,fair,,6,6,1,3,,\nMill,fair,2027-03-18,,,,,,,,0,,\n").like(file, head+light),
		g("a tally without a name", refused, "Mill,,2027-03-18,2 deep,no,light,,5,6,1,4,,\n"),
		g("a tally without a date", refused, "Mill,light,,2 deep,no,light,,5,6,1,4,,\n"),
		g("a tally of tomorrow", refused, "Mill,light,2027-03-21,2 deep,no,light,,5,6,1,4,,\n"),
		g("a tally of no yard", refused, "Mall,light,2027-03-18,2 deep,no,light,,5,6,1,4,,\n"),
		g("a heft between two words", refused, "Mill,light,2027-03-18,2 deep,no,light-fair,,5,6,1,4,,\n"),
		g("a weight in lb under kg", refused, "Mill,light,2027-03-18,2 deep,no,,110 lb,5,6,1,4,,\n"),
		g("a weight in lb under kg forgotten", refused, "Mill,light,2027-03-18,1 deep,no,,110,5,6,1,4,,\n"),
		g("a weight of all of them", refused, "Mill,light,2027-03-18,2 deep,no,,160,5,6,1,4,,\n"),
		g("seams of all of them", refused, "Mill,light,2027-03-18,2 deep,no,light,,25,6,1,4,,\n"),
		g("dead ones", noted, "Mill,dead,2027-03-18,2 deep,no,,,,,,4,,\n").unlike(),
		table("colonies given for tallies", refused, file, "yard,colony,date,boxes,heft,seams\nMill,light,2027-03-18,2 deep,light,5\n"),
		g("a totals row of tallies", refused, light+"Total,,,,,,,,,,4,,\n"),
	}
}

// only leaves out the table of colonies beside the file.
func (r oddRun) only(file string) oddRun {
	delete(r.files, "s/colonies.csv")
	r.likeFiles = plainSeason()
	delete(r.likeFiles, "s/colonies.csv")
	r.likeFiles[file] = r.files[file]
	return r
}

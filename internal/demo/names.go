package demo

import "math/rand/v2"

// A tongue is a stock of names of one language. Surnames hold the form for women
// after a slash where the language has two.
type tongue struct {
	women, men, surnames []string
}

// tongues are the languages of Carrowmoyle's trainees. The names are common ones
// put together at random; they mean nobody.
var tongues = []tongue{
	{ // Irish
		women:    []string{"Aoife", "Bríd", "Caoimhe", "Dearbhla", "Eimear", "Fionnuala", "Gobnait", "Lasairíona", "Muireann", "Orlaith", "Sadhbh", "Treasa"},
		men:      []string{"Art", "Breandán", "Cathal", "Diarmuid", "Eoghan", "Fiachra", "Lorcán", "Murchadh", "Oisín", "Proinsias", "Ruairí", "Tadhg"},
		surnames: []string{"Ó Maoldúin/Ní Mhaoldúin", "Ó Gríofa/Ní Ghríofa", "Mac Oireachtaigh/Nic Oireachtaigh", "Ó Conghaile/Ní Chonghaile", "Ó Tuathaláin/Ní Thuathaláin", "Ó Loideáin/Ní Loideáin", "Breathnach", "Ó Curraoin/Ní Churraoin", "Mac Aodhagáin/Nic Aodhagáin", "Ó Dubhshláine/Ní Dhubhshláine", "Ó Scolaí/Ní Scolaí", "Ó Maoláin/Ní Mhaoláin"},
	},
	{ // Irish names in their English spelling
		women:    []string{"Ailish", "Bernadette", "Catriona", "Deirdre", "Geraldine", "Imelda", "Majella", "Noreen", "Philomena", "Ursula"},
		men:      []string{"Brendan", "Colman", "Declan", "Enda", "Finbarr", "Jarlath", "Malachy", "Padraic", "Ronan", "Senan"},
		surnames: []string{"Gaughan", "Loftus-Barrett", "Munnelly", "Deane", "Ruddy", "Tuffy", "Cafferkey", "Lavelle", "Heneghan", "Padden", "Sweeney-Moran", "Mulchrone"},
	},
	{ // Polish
		women:    []string{"Bożena", "Dobrawa", "Grażyna", "Jagoda", "Kalina", "Ludmiła", "Mirosława", "Otylia", "Żaneta", "Zdzisława"},
		men:      []string{"Bolesław", "Czesław", "Dobromir", "Gniewomir", "Jarema", "Lechosław", "Mieszko", "Przemysław", "Świętosław", "Zbigniew"},
		surnames: []string{"Grzybek", "Kołodziejczak", "Młynarczyk", "Pietruszka", "Skowronek", "Trzaska", "Wąsik", "Zawiślak", "Dobrzański/Dobrzańska", "Gołaszewski/Gołaszewska", "Jędrzejewski/Jędrzejewska", "Wieczorkiewicz"},
	},
	{ // Portuguese
		women:    []string{"Aurora", "Benedita", "Conceição", "Deolinda", "Filomena", "Graciete", "Ivone", "Leonilde", "Otília", "Zulmira"},
		men:      []string{"Abílio", "Belmiro", "Custódio", "Domingos", "Eusébio", "Firmino", "Gaspar", "Isidro", "Lourenço", "Valdemar"},
		surnames: []string{"Alvarenga", "Bragança Pires", "Carrapiço", "Figueiral", "Gouveia Leitão", "Junqueira", "Malheiro", "Nogueira Bispo", "Pacheco Vaz", "Quintela", "Salgueiro", "Vasconcelos Meira"},
	},
	{ // Yoruba
		women:    []string{"Abimbola", "Bolanle", "Ebunoluwa", "Fehintola", "Iretiola", "Morenike", "Omolara", "Simisola", "Titilayo", "Yewande"},
		men:      []string{"Adewale", "Ayodeji", "Damilare", "Gbolahan", "Ifeoluwa", "Kolawole", "Modupe", "Olumide", "Segun", "Temitope"},
		surnames: []string{"Adebisi", "Akintola", "Ayanwale", "Fagbemi", "Iyanda", "Ogunleye", "Olabode", "Oyedele", "Popoola", "Salako", "Sowande", "Taiwo"},
	},
	{ // Tamil
		women:    []string{"Abirami", "Dharani", "Ezhilarasi", "Kavitha", "Malarvizhi", "Nilavazhagi", "Poongodi", "Selvi", "Thenmozhi", "Yazhini"},
		men:      []string{"Anbuselvan", "Elango", "Ilavarasan", "Kathiravan", "Manimaran", "Nedunchezhian", "Pugazhendhi", "Senthil", "Tamilselvan", "Vetrivel"},
		surnames: []string{"Arunagiri", "Chelladurai", "Gnanasekaran", "Kandasamy", "Kumaravelu", "Loganathan", "Mariappan", "Paramasivam", "Rajamanickam", "Subbaiah", "Thangaraj", "Velusamy"},
	},
	{ // Swedish
		women:    []string{"Alfhild", "Dagny", "Gunvor", "Ingegerd", "Kerstin", "Majvor", "Ragnhild", "Solveig", "Tyra", "Ylva"},
		men:      []string{"Arvid", "Börje", "Egil", "Folke", "Gösta", "Hjalmar", "Ragnar", "Sixten", "Torvald", "Yngve"},
		surnames: []string{"Almkvist", "Björklöv", "Dalgren", "Ekhammar", "Forsslund", "Granath", "Hedmark", "Klevås", "Ljungskog", "Norrsell", "Rönnmark", "Åkerhielm-Dahl"},
	},
	{ // Lithuanian
		women:    []string{"Aldona", "Birutė", "Danguolė", "Gražina", "Jūratė", "Laimutė", "Nijolė", "Rasa", "Snieguolė", "Živilė"},
		men:      []string{"Algirdas", "Bronius", "Darius", "Eimantas", "Gintaras", "Jokūbas", "Kęstutis", "Mindaugas", "Rimantas", "Žygimantas"},
		surnames: []string{"Balčiūnas/Balčiūnienė", "Daukantas/Daukantienė", "Gudaitis/Gudaitienė", "Jankūnas/Jankūnienė", "Kvedaras/Kvedarienė", "Lukošius/Lukošienė", "Mažeika/Mažeikienė", "Norkus/Norkienė", "Petrulis/Petrulienė", "Stonkus/Stonkienė"},
	},
	{ // Spanish
		women:    []string{"Amparo", "Begoña", "Encarnación", "Genoveva", "Inmaculada", "Macarena", "Milagros", "Remedios", "Socorro", "Visitación"},
		men:      []string{"Anselmo", "Baldomero", "Celestino", "Desiderio", "Eleuterio", "Fulgencio", "Hermenegildo", "Leandro", "Nicanor", "Saturnino"},
		surnames: []string{"Arizmendi Cobo", "Barrientos Lara", "Cifuentes Rey", "Echegaray Mota", "Goicoechea Pino", "Larrazábal", "Madariaga Ruiz", "Olivares Quero", "Peñalver Gil", "Urrutia Sanz"},
	},
	{ // Welsh
		women:    []string{"Angharad", "Branwen", "Ceinwen", "Eluned", "Ffion", "Gwenllian", "Heledd", "Lowri", "Nerys", "Tegwen"},
		men:      []string{"Aneurin", "Bleddyn", "Caradog", "Emrys", "Gethin", "Idwal", "Llewelyn", "Meurig", "Rhodri", "Tudur"},
		surnames: []string{"ap Gruffydd/ferch Gruffydd", "Bevan-Rees", "Cadwaladr", "Gethin-Pugh", "Maddocks", "Penry", "Prosser-Wynn", "Trahaearn", "Vaughan-Prys", "Yorath"},
	},
}

// name invents a name of the language.
func (t tongue) name(r *rand.Rand) string {
	woman := r.IntN(5) < 2
	given, surname := pick(r, t.men), pick(r, t.surnames)
	if woman {
		given = pick(r, t.women)
	}
	return given + " " + formOf(surname, woman)
}

// formOf returns the form of a surname that the language uses.
func formOf(surname string, woman bool) string {
	for i := range len(surname) {
		if surname[i] != '/' {
			continue
		}
		if woman {
			return surname[i+1:]
		}
		return surname[:i]
	}
	return surname
}

func pick[T any](r *rand.Rand, from []T) T { return from[r.IntN(len(from))] }

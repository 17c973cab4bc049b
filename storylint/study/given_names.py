"""Whether a forename is a woman's or a man's: what a pronoun needs to find its person.

Common names of English-language family histories and of those who came from elsewhere, written down from memory; no
published list was copied. A name that is not here is either; then pronouns and words of kinship tell.
"""

from __future__ import annotations

WOMEN = frozenset(
    """
    Abigail Ada Adelaide Adeline Agnes Agnieszka Alice Alicia Alma Almira Amanda Amelia Amy Angela Angelina Angharad Ann Anna
    Anne Annie Antonia Asenath Astrid Augusta Barbara Bathsheba Beatrice Bertha Bessie Beth Bethia Betsey Betsy Betty Beulah
    Blanche Blodwen Brenda Bridget Bronwen Brigid Calliope Camilla Caroline Carrie Carys Catharine Catherine Catrin
    Cecilia Celia Ceridwen Charity Charlotte Chloe Christiana Christina Christine Clara Clarissa Constance Cora Cordelia
    Cornelia Cynthia Daisy Damaris Deborah Delia Delilah Dilys Dinah Dolly Dolores Dora Dorcas Doris Dorothea Dorothy
    Edith Edna Effie Eileen Elaine Eleanor Elena Eleni Elinor Elisabeth Eliza Elizabeth Ella Ellen Elsie Eluned Elvira
    Emeline Emily Emma Enid Esther Ethel Etta Eunice Euphemia Eva Eve Fannie Fanny Flora Florence Frances Frieda
    Georgiana Georgina Geraldine Gertrude Gladys Gloria Grace Greta Gudrun Gwen Gwendolen Gwenllian Gwladys Hannah Harriet
    Hattie Hazel Hedwig Helen Helena Helga Henrietta Hephzibah Hester Hilda Honora Huldah Ida Ingeborg Ingrid Irene Irini
    Isabel Isabella Ivy Jane Janet Jeanette Jemima Jennet Jennie Jenny Jerusha Jessie Joan Joanna Johanna Josephine
    Joyce Judith Julia Juliana Kaliopi Karen Katarzyna Kate Katharina Katharine Katherine Kathleen Katie Keturah Keziah
    Kirsten Kitty Laura Lavinia Leah Lena Letitia Lettice Lilian Lillian Lily Linda Lizzie Lois Lottie Louisa Louise
    Lowri Lucinda Lucretia Lucy Luisa Lydia Mabel Madeleine Madge Magdalena Maggie Mahala Mair Malvina Mamie Marcella
    Margaret Margaretha Margery Margot Maria Marian Marianne Marie Marjorie Martha Mary Matilda Maud Maude May Megan
    Mehitable Mehetabel Melissa Mercy Mildred Millicent Minerva Minnie Miriam Mollie Molly Morfydd Muriel Myfanwy Myrtle
    Nancy Naomi Nell Nellie Nelly Nora Norah Olga Olive Olivia Olwen Ottilie Pamela Parthenia Patience Patricia Pauline
    Pearl Peggy Penelope Permelia Phebe Philippa Phoebe Phyllis Polly Priscilla Prudence Rachel Rebecca Rebekah Rhoda Rosa
    Rosalie Rosanna Rose Rosemary Rosina Roxana Ruth Sabra Sadie Sally Sarah Selina Sevasti Sheila Sibyl Sigrid Sofia Sophia
    Sophie Sophronia Stamatia Stella Submit Susan Susanna Susannah Sybil Sylvia Tabitha Tamar Temperance Thankful Thelma
    Themelina Theodora Theresa Thirza Ursula Vera Veronica Victoria Viola Violet Virginia Wilhelmina Winifred Zilpha Zina
    Aase Adelheid Agata Aino Aiko Amalia Anastasia Anneke Antje Apollonia Assunta Aud Bertine Birgit Birte Bozena Brita Caterina
    Chaja Chana Concepcion Concetta Dorota Dvora Dagmar Ebba Elin Elke Else Esperanza Eudora Feige Filomena Fotini Franziska
    Freya Frida Gerda Gitte Giulia Giuseppina Golda Gro Guadalupe Guri Gunda Hedda Hanne Hilma Inga Ingrid Inger Isabela Isolde
    Jadwiga Johanne Jorunn Josefa Josefina Jytte Kaja Kari Karin Karoline Kirsti Klara Kristin Kristina Leokadia Leonor Liesbeth
    Ludmila Lucia Maartje Maatje Malka Maren Margit Margrethe Marianna Marit Marta Mathilde Mette Mina Neeltje Nora Olava Orsolya
    Paulina Petra Petronella Ragna Ragnhild Randi Rifka Rivka Rikke Rosalia Rosaria Ruza Sanne Signe Sigrun Siri Siv Solveig Stina
    Sunniva Susanne Svea Synnove Tannetje Teresa Thea Thora Tove Trijntje Turid Ulrike Una Vendla Vibeke Wanda Xenia Yetta Zofia
    Aoife Ailis Bidelia Brighid Caitlin Deirdre Eibhlin Fionnuala Grainne Mairead Maire Nuala Niamh Orla Roisin Siobhan Sinead
    Effie Elspeth Euphemia Grizel Isobel Iseabail Jessie Mairi Marsali Morag Oighrig Seonaid Ursula
    """.split()
)
MEN = frozenset(
    """
    Aaron Abel Abner Abraham Abram Adam Adolf Adolph Alan Albert Alexander Alfred Allan Allen Alonzo Ambrose Amos Anders
    Andreas Andrew Aneurin Angus Anthony Antonio Archibald Arthur Asa Asahel August Augustus Azariah Barnabas Bartholomew
    Benedict Benjamin Bernard Bertram Brian Bruce Caleb Calvin Carl Cecil Charles Charlie Christopher Clarence
    Claude Clement Clifford Conrad Constantine Cornelius Cuthbert Cyril Cyrus Dafydd Daniel David Dennis Diederich Dietrich
    Donald Douglas Dudley Duncan Ebenezer Edgar Edmund Edward Edwin Egbert Eli Elias Elihu Elijah Eliphalet Elisha Elkanah Ellis
    Emanuel Emlyn Emrys Enoch Enos Ephraim Erasmus Eric Ernest Evan Ezekiel Ezra Ferdinand Fergus Francis Franciszek Frank
    Franklin Franz Frederic Frederick Friedrich Gabriel Geoffrey George Gerald Gershom Giannis Gideon Gilbert Giles Giovanni
    Giuseppe Gordon Gottfried Griffith Gruffydd Guillaume Gunnar Gustav Hans Harald Harold Harry Heinrich Henri Henry Herbert
    Herman Hezekiah Hiram Horace Howard Howell Hugh Hugo Humphrey Ian Ichabod Ifan Increase Ira Isaac Isaiah Israel Ivan Ivor
    Jabez Jack Jacob Jacques Jakob James Jan Jared Jasper Jedediah Jeffrey Jens Jeremiah Jeremy Jesse Jethro Jim Joachim Job
    Joe Joel Johan Johann Johannes John Jonas Jonathan José Joseph Joshua Josiah Jotham Juan Julius Karl Kenneth Knud Konrad
    Lars Laurence Lawrence Leander Lemuel Leo Leon Leonard Leopold Levi Lewis Llewelyn Lloyd Louis Lucas Lucius
    Ludwig Luke Luther Magnus Malachi Malcolm Manolis Manuel Marcus Mark Martin Matthew Matthias Maurice Max Michael Michalis
    Micah Miles Mordecai Morgan Morris Moses Nathan Nathaniel Nehemiah Neil Nicholas Nick Nikolas Noah Norman Obadiah Olaf
    Oliver Orlando Oscar Otto Owain Owen Patrick Paul Per Peter Petros Philemon Philip Phineas Pierre Ralph Randolph Raymond
    Reginald Reuben Rhys Richard Robert Roderick Roger Roland Rowland Rufus Rupert Samson Samuel Seth Silas Silvanus
    Simeon Simon Solomon Spyros Stanley Stelios Stephen Steven Sven Sylvester Thaddeus Theodore Theophilus Thomas
    Timothy Titus Tobias Tom Tomos Uriah Vernon Victor Vincent Walter Warren Wilfred Wilhelm Will William Willie
    Zachariah Zaccheus Zebulon
    Aage Abram Adriaan Aksel Alessandro Alfonso Alois Anton Antone Antoni Arend Arne Asbjorn Axel Baltasar Barend Bartley Bartolomeo
    Berl Bernhard Bjorn Bohumil Borge Carlo Carlos Chaim Ciaran Claes Claus Cornelis Cormac Declan Diarmuid Dirk Domenico Donal
    Eamon Einar Eirik Elof Emil Emilio Enrico Erik Erling Ernst Eugenio Evert Feliks Felipe Fergal Fernando Filippo Finn Francesco
    Francisco Frans Frantisek Fritz Georg Gerard Gerhard Gerrit Giacomo Gottlieb Gregorio Gudmund Gunther Gustaf Haakon Halvor
    Hannes Hendrik Hermann Hermanus Hilmar Ignacy Iver Ivar Izaak Jaap Jacobus Jannis Jaroslav Jens Joaquim Joachim Jon Jorge Josef
    Juho Kaspar Karel Klaas Klaus Knut Konstanty Kornelius Kristian Lauritz Leif Leendert Lorenz Lorenzo Luca Luigi Maarten Manuel
    Marcin Marinus Mariano Mateusz Mathias Mattias Mendel Menno Michal Miguel Mikael Moishe Mordechai Moritz Morten Niels Nils
    Olav Ole Olof Otto Paavo Pablo Padraig Paolo Pawel Peder Pedro Pieter Pietro Rasmus Reinhold Rodrigo Rolf Salvatore Sander Santos
    Sean Seamus Sebastian Severin Shmuel Sigurd Sivert Soren Stanislaw Stefan Stefano Svend Syver Tadeusz Teodor Tobias Tomas Torkel
    Torvald Torsten Tormod Ture Ulrich Vaclav Vicente Viggo Vilhelm Wenzel Willem Wincenty Wojciech Yakov Yitzhak Zygmunt
    Aled Aneirin Dewi Eifion Elis Emyr Gareth Geraint Gethin Glyn Goronwy Gwilym Gwyn Huw Hywel Ianto Idris Ieuan Ifor Iolo Iorwerth
    Islwyn Ithel Llewellyn Madoc Mihangel Rhodri Rhydderch Tudor Twm
    Alasdair Alistair Callum Colin Ewan Farquhar Finlay Hamish Hector Iain Lachlan Magnus Murdo Neil Ranald Ruairidh Somerled Torquil
    Asbury Bertie Cuthbert Ebenezer Eleazer Elkanah Eliab Enos Ephraim Gideon Giles Hosea Jabez Jotham Laban Levi Mahlon Micajah Obed
    Peleg Phineas Septimus Seth Shubael Tristram Uriel Walter Zenas Zephaniah
    """.split()
)
_MEN_IN_A = frozenset("Joshua Ezra Asa Elisha Joshuah Josiah Nikola Luca Ilya Noa Juda Ira Columba Andrea Mica".split())


def sex_of(forename: str) -> str:
    """'f', 'm' or '' where the name does not tell."""
    name = forename.title() if forename.isupper() else forename
    if name in WOMEN:
        return "f"
    if name in MEN or name in _MEN_IN_A:
        return "m"
    return "f" if len(name) > 3 and name.endswith(("ella", "etta", "anna")) else ""
